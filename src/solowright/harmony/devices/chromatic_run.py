"""Chromatic run: half steps in one direction, four notes or more."""

from __future__ import annotations

from collections.abc import Iterator

from solowright.harmony.devices.found import KIND_BITS, LENGTH_BITS, NOTE_BITS, WAY_BITS, Found, parts
from solowright.harmony.ground import Ground

KIND = "chromatic-run"
SHORTEST = 4  # notes; three are a passing note


def find(ground: Ground) -> Iterator[Found]:
    """Every run of half steps."""
    bits = KIND_BITS + NOTE_BITS + WAY_BITS + LENGTH_BITS
    midi = [event.midi for event in ground.events]
    for first, stop in ground.stretches:
        start = first
        while start < stop - 1:
            move = midi[start + 1] - midi[start]
            end = start + 2
            while end < stop and midi[end] - midi[end - 1] == move:
                end += 1
            if abs(move) == 1:
                for begin, close in parts(start, end, SHORTEST):
                    facts = {
                        "direction": "up" if move > 0 else "down",
                        "first": ground.name(begin),
                        "last": ground.name(close - 1),
                    }
                    yield Found(KIND, begin, close, bits, facts)
            start = end - 1
