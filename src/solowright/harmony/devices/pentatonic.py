"""Pentatonic runs and blues cells: four notes or more along a five-note scale, turning freely, and the
same with the blue note in it.

The scale stands on the chord's root, or on the key's tonic as a blues player keeps it through dominant
sevenths (common practice, no source); over other chords it ends with its chord. A run leaves no tone of
its scale out; a blues cell may, as it leaps more.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from solowright.harmony.colours import Colours
from solowright.harmony.devices.found import (
    KIND_BITS,
    LENGTH_BITS,
    NOTE_BITS,
    SKIP_BITS,
    TURN_BITS,
    WAY_BITS,
    Found,
    choice_bits,
    tell_path,
)
from solowright.harmony.ground import Ground
from solowright.music.chord import Family
from solowright.music.scale import Scale, scale
from solowright.music.tune import Key

RUN, CELL = "pentatonic-run", "blues-cell"
SHORTEST = 4  # notes
LONGEST = 24  # notes

# Scales on the chord's root by family, the usual one first.
ON_ROOT: dict[Family, tuple[str, ...]] = {
    "major": ("major pentatonic", "major blues"),
    "minor": ("minor pentatonic", "blues"),
    "dominant": ("major pentatonic", "minor pentatonic", "blues", "major blues"),
    "suspended": ("major pentatonic", "minor pentatonic"),
    "power": ("minor pentatonic", "blues", "major pentatonic", "major blues"),
}
ON_TONIC = {False: ("major pentatonic", "minor pentatonic", "blues"), True: ("minor pentatonic", "blues")}
BLUE_NOTE = {"blues": 6, "major blues": 3}  # semitones above the root
_Along = tuple[Scale, frozenset[int], int | None]  # a scale, its tones, its blue note


def find(ground: Ground) -> Iterator[Found]:
    """Every pentatonic run and blues cell."""
    midi = [event.midi for event in ground.events]
    for first, stop in ground.stretches:
        ends = _ends(ground, first, stop)
        for start in range(first, stop - SHORTEST + 1):
            scales = _scales_over(ground.colours(start), ground.tune.key)
            for rank, scale_here in enumerate(scales):
                if midi[start] % 12 in scale_here[1]:
                    end = ends[start - first][scale_here[0].root == ground.tune.key.tonic]
                    yield from _walk(ground, midi, (start, min(end, start + LONGEST)), rank, scale_here)


def _ends(ground: Ground, first: int, stop: int) -> list[tuple[int, int]]:
    """For every event of a stretch where a scale that begins there is left with its chord, and where the
    tonic's is, kept from one dominant to the next: one past the note struck there, which may still be
    where the run lands."""
    ends = [(stop, stop)]
    for index in range(stop - 2, first - 1, -1):
        own, tonics = ends[-1]
        if ground.events[index].span != ground.events[index + 1].span:
            own = index + 2
            tonics = tonics if _is_dominant(ground, index) and _is_dominant(ground, index + 1) else own
        ends.append((own, tonics))
    return ends[::-1]


def _is_dominant(ground: Ground, index: int) -> bool:
    colours = ground.colours(index)
    return colours is not None and colours.chord.family == "dominant"


def _walk(
    ground: Ground, midi: list[int], within: tuple[int, int], rank: int, along: _Along
) -> Iterator[Found]:
    """The run from the first event of ``within`` as far as ``midi`` follows the scale, at every length
    it may have."""
    start, stop = within
    candidate, tones, blue = along
    bits = KIND_BITS + NOTE_BITS + WAY_BITS + LENGTH_BITS + choice_bits(rank + 1)
    way = 0
    blue_at = start if midi[start] % 12 == blue else -1
    for index in range(start + 1, stop):
        move = midi[index] - midi[index - 1]
        if not move or midi[index] % 12 not in tones:
            return
        low, high = min(midi[index - 1], midi[index]), max(midi[index - 1], midi[index])
        left_out = sum(pitch % 12 in tones for pitch in range(low + 1, high))
        if left_out > (0 if blue is None else 1):
            return
        bits += (SKIP_BITS if left_out else 0) + (TURN_BITS if way and (move > 0) != (way > 0) else 0)
        way = move
        if blue_at < 0 and midi[index] % 12 == blue:
            blue_at = index
        if index - start + 1 >= SHORTEST and (blue_at >= 0) == (blue is not None):
            facts = {"scale": candidate.name, "path": tell_path(midi[start : index + 1])}
            if blue is None:
                yield Found(RUN, start, index + 1, bits, facts)
            else:
                yield Found(CELL, start, index + 1, bits, facts | {"blue": ground.name(blue_at)})


@cache
def _scales_over(colours: Colours | None, key: Key) -> tuple[_Along, ...]:
    """Scales to try over a chord, each set of tones once, with its blue note."""
    candidates = []
    if colours is not None:
        candidates += [scale(colours.chord.root, name) for name in ON_ROOT.get(colours.chord.family, ())]
    candidates += [scale(key.tonic, name) for name in ON_TONIC[key.minor]]
    found: dict[frozenset[int], Scale] = {}
    for candidate in candidates:
        found.setdefault(candidate.pitch_classes, candidate)
    return tuple((candidate, tones, _blue_note(candidate)) for tones, candidate in found.items())


def _blue_note(candidate: Scale) -> int | None:
    above = BLUE_NOTE.get(candidate.kind.name)
    return None if above is None else (candidate.root.pitch_class + above) % 12
