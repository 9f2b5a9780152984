"""Keeping a passage to a part of the neck: ranges of frets that the player fixes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf

import numpy as np

from solowright.errors import InputError
from solowright.music.time import Time
from solowright.music.tune import Tune
from solowright.neck.moments import Event
from solowright.neck.search import Lattice


@dataclass(frozen=True, slots=True)
class FretRange:
    """From ``start`` up to ``end`` (quarters from the tune's start) no stopped note below fret ``low``
    or above ``high``; open strings only where ``low`` is 0."""

    start: Time
    end: Time
    low: int
    high: int


def keep_ranges(
    tune: Tune, events: tuple[Event, ...], lattice: Lattice, ranges: tuple[FretRange, ...]
) -> Lattice:
    """The lattice without what lies outside the ranges. Raises InputError, with bar and beat, where
    nothing is left."""
    moments = list(lattice.moments)
    for each in ranges:
        for index, event in enumerate(events):
            if not each.start <= event.notes[0].onset < each.end:
                continue
            hands = moments[index].hands
            used = hands.frets >= 0
            inside = (~used | ((hands.frets >= each.low) & (hands.frets <= each.high))).all(axis=1)
            effort = np.where(inside, hands.effort, inf)
            if not np.isfinite(effort).any():
                names = ", ".join(note.pitch.name for note in event.notes)
                raise InputError(
                    f"{tune.chart.place(event.notes[0].onset)}: {names} can't be played within frets "
                    f"{each.low} to {each.high} as fixed; widen the range or free the note"
                )
            moments[index] = replace(moments[index], hands=replace(hands, effort=effort))
    return Lattice(tuple(moments), lattice.steps)
