"""Grace notes in a played line: attacks too close before the next one to be rhythm.

They come before the beat, or on it where the main note is late instead. How close: a twelfth of a
quarter, which is also what the writer gives each of them; our choice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from solowright.files.midi_events import Sounding
from solowright.files.midi_grid import Written
from solowright.music.time import ZERO, Time

GRACE = Fraction(1, 12)  # quarters
_SLACK = Fraction(1, 120)  # quarters, for rounding to ticks


def find_graces(events: Sequence[Sequence[Sounding]]) -> frozenset[int]:
    """Indices of single notes that are over when the next attack comes, a twelfth of a quarter later."""
    return frozenset(
        index
        for index, (notes, after) in enumerate(pairwise(events))
        if len(notes) == 1
        and after[0].start - notes[0].start <= GRACE + _SLACK
        and notes[0].end <= after[0].start + _SLACK
    )


def main_onsets(events: Sequence[Sequence[Sounding]], graces: frozenset[int]) -> list[Time]:
    """The played onsets of all but the grace notes; the first grace note's where that one is on the beat."""
    onsets = []
    lead: Time | None = None
    for index, notes in enumerate(events):
        onset = sum((note.start for note in notes), ZERO) / len(notes)
        if index in graces:
            lead = onset if lead is None else lead
            continue
        onsets.append(lead if lead is not None and _off_grid(lead) < _off_grid(onset) else onset)
        lead = None
    return onsets


def _off_grid(time: Time) -> Time:
    """Quarters to the nearest sixteenth or triplet."""
    return min(abs(time * parts - round(time * parts)) / parts for parts in (4, 3))


def with_graces(written: Written, graces: frozenset[int]) -> Written:
    """The written main notes with the grace notes in between, each at its main note's onset."""
    count = len(written.onsets) + len(graces)
    onsets: list[Time] = []
    steps: list[Time] = []
    found: set[int] = set()
    main = 0
    for index in range(count):
        onsets.append(written.onsets[main])
        steps.append(written.steps[main])
        if index in graces:
            found.add(index)
            continue
        if main in written.graces:
            found.add(index)
        main += 1
    return Written(tuple(onsets), frozenset(found), tuple(steps))
