"""Keeping a passage to a part of the neck: ranges of frets that the player fixes."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from math import inf

import numpy as np

from solowright.errors import InputError
from solowright.music.time import Time
from solowright.music.tune import Tune
from solowright.neck.moments import Event
from solowright.neck.search import Lattice

_RANGE = re.compile(r"(\d{1,4})(?:\s*-\s*(\d{1,4}))?\s+(\d{1,2})(?:\s*-\s*(\d{1,2}))?", re.ASCII)


@dataclass(frozen=True, slots=True)
class FretRange:
    """From ``start`` up to ``end`` (quarters from the tune's start) no stopped note below fret ``low``
    or above ``high``; open strings only where ``low`` is 0."""

    start: Time
    end: Time
    low: int
    high: int


def parse_ranges(text: str, tune: Tune) -> tuple[FretRange, ...]:
    """Bars and the frets for them, as typed: ``5-8 7-10`` keeps bars 5 to 8 within frets 7 to 10; several
    are parted by commas. Raises InputError."""
    return tuple(_parse_range(part.strip(), tune) for part in text.split(","))


def _parse_range(text: str, tune: Tune) -> FretRange:
    match = _RANGE.fullmatch(text)
    if not match:
        raise InputError(f"'{text}' is no range; write bars and frets, such as 5-8 7-10 or 12 0-4")
    first, last, low, high = (int(each) if each else None for each in match.groups())
    assert first is not None and low is not None
    last, high = first if last is None else last, low if high is None else high
    chart = tune.chart
    lowest, highest = chart.number(0), chart.number(len(chart.bars) - 1)
    if not lowest <= first <= last <= highest:
        raise InputError(f"'{text}': there are bars {lowest} to {highest}; give the first and the last")
    if low > high:
        raise InputError(f"'{text}': fret {low} lies above fret {high}; give the lower one first")
    start, end = chart.starts[chart.index(first)], chart.starts[chart.index(last) + 1]
    return FretRange(start, end, low, high)


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
