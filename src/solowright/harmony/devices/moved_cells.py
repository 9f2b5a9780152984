"""One cell of notes said again at once at another pitch: what sequences and shifted shapes share.

A cell of n events is moved as long as every event lies the same distance from the one n before it,
in pitch and in time; distance in semitones, or in steps of a scale. A cell of one event must be a
chord or a double stop.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple, cast

from solowright.harmony.ground import Ground

SMALLEST, LARGEST = 1, 8  # events in a cell
PAIR = 3  # statements that a cell of one or two events needs
TWICE = 4  # events that a cell heard only twice must have
LOOSE = 0.25  # quarters that the rhythm of a later statement may differ by


class Moved(NamedTuple):
    """A cell of ``size`` events from ``start`` on, heard ``times`` times, ``interval`` apart."""

    start: int
    size: int
    times: int
    interval: int

    @property
    def stop(self) -> int:
        return self.start + self.size * self.times


def find_moved(
    ground: Ground, heights: Sequence[int | None], phrases: Iterable[tuple[int, int]]
) -> Iterator[Moved]:
    """Every moved cell inside one of the phrases. ``heights`` gives each event's pitch in semitones or
    scale steps, None where it has none; events struck together move only as one shape."""
    for first, stop in _with_heights(heights, phrases):
        for size in range(SMALLEST, min(LARGEST, (stop - first) // 2) + 1):
            yield from _runs(ground, cast("Sequence[int]", heights), first, stop, size)


def _with_heights(
    heights: Sequence[int | None], phrases: Iterable[tuple[int, int]]
) -> Iterator[tuple[int, int]]:
    """The parts of phrases in which every event has a height."""
    for first, stop in phrases:
        start = first
        for index in range(first, stop):
            if heights[index] is None:
                if index > start:
                    yield start, index
                start = index + 1
        if stop > start:
            yield start, stop


def _runs(ground: Ground, heights: Sequence[int], first: int, stop: int, size: int) -> Iterator[Moved]:
    """Stretches over which the distance to the event ``size`` before stays the same."""
    events, loose = ground.events, LOOSE * ground.ticks
    start, apart, gap = first, 0, 0
    for place in range(first, stop - size + 1):
        here = lag = 0  # events that aren't alike count as not moved
        if place < stop - size:
            event, later = events[place], events[place + size]
            if _alike(event.pitches, later.pitches):
                here, lag = heights[place + size] - heights[place], later.start - event.start
        if here and here == apart and abs(lag - gap) <= loose:
            continue
        if apart and (size > 1 or not events[start].single):
            yield from _statements(heights, start, place, size, apart)
        start, apart, gap = place, here, lag


def _alike(pitches: tuple[int, ...], others: tuple[int, ...]) -> bool:
    if len(pitches) == len(others) == 1:
        return True
    return len(pitches) == len(others) and len({a - b for a, b in zip(pitches, others, strict=True)}) == 1


def _statements(
    heights: Sequence[int], start: int, stop: int, size: int, interval: int
) -> Iterator[Moved]:
    """The moved cells that a stretch of equal distances holds, from each event it may begin at."""
    for begin in range(start, min(stop, start + size)):
        times = (stop - begin) // size + 1
        for count in range(2, times + 1):
            enough = size >= TWICE if count == 2 else size > 2 or count >= PAIR
            if enough and (size == 1 or not _is_run(heights, begin, size)):
                yield Moved(begin, size, count, interval)


def _is_run(heights: Sequence[int], start: int, size: int) -> bool:
    """Whether the cell is only a run of equal steps or one pitch repeated."""
    cell = heights[start : start + size + 1]
    return len({b - a for a, b in pairwise(cell)}) <= 1
