"""Where a line breathes: phrases, as the hand has to play them through."""

from __future__ import annotations

from itertools import pairwise
from statistics import median_low

from solowright.music.time import Time
from solowright.music.tune import Tune

REST = 1  # quarters of rest that end a phrase (as published phrase figures have it)
LONG = 2  # quarters from one onset to the next that end one…
LONG_RATIO = 3  # … where that is so many times what is usual in the line, too (assumed)


def group_moments(tune: Tune) -> tuple[tuple[int, ...], ...]:
    """The indices of the notes by what is struck together."""
    found, start = [], 0
    for event in tune.line.events():
        found.append(tuple(range(start, start + len(event))))
        start += len(event)
    return tuple(found)


def cut_phrases(tune: Tune) -> tuple[tuple[int, int], ...]:
    """(first, last) index of the notes of every phrase; grace notes go with what they lead to."""
    notes = tune.line.notes
    struck = [moment for moment in group_moments(tune) if not notes[moment[0]].grace]
    if not struck:
        return ((0, len(notes) - 1),) if notes else ()
    onsets = [notes[moment[0]].onset for moment in struck]
    gaps = [after - before for before, after in pairwise(onsets)]
    long = max(Time(LONG), LONG_RATIO * median_low(gaps)) if gaps else Time(LONG)
    phrases, first, sounding = [], 0, Time(0)
    for index, moment in enumerate(struck[:-1]):
        sounding = max(sounding, *(notes[each].end for each in moment))
        if gaps[index] >= long or onsets[index + 1] - sounding >= REST:
            phrases.append((first, moment[-1]))
            first = moment[-1] + 1
    return (*phrases, (first, len(notes) - 1))
