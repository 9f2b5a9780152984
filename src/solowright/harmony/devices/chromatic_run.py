"""Chromatic run: half steps in one direction, four notes or more."""

from __future__ import annotations

from collections.abc import Iterator

from solowright.harmony.devices.found import KIND_BITS, LENGTH_BITS, NOTE_BITS, WAY_BITS, Facts, Found, parts
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
                        **_frame(ground, begin, close - 1),
                    }
                    yield Found(KIND, begin, close, bits, facts)
            start = end - 1


def _frame(ground: Ground, first: int, last: int) -> Facts:
    """The degrees of first and last note, where both say the one chord that the run is played over."""
    colours = ground.colours(first)
    ends = [ground.events[index].midi % 12 for index in (first, last)]
    if colours is None or ground.events[first].span != ground.events[last].span:
        return {"degrees": [], "over": None}
    if not set(ends) <= colours.core | colours.chord.pitch_classes:
        return {"degrees": [], "over": None}
    return {"degrees": [colours.names[tone] for tone in ends], "over": colours.chord.symbol}
