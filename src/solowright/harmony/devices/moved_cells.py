"""One cell of notes said again at once at another pitch: what sequences and shifted shapes share.

A cell of n events is moved as long as every event lies the same distance from the one n before it,
in pitch and in time; distance in semitones, or in steps of a scale. A cell of one event must be a
chord or a double stop.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

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


def find_moved(ground: Ground, heights: Sequence[int | None]) -> Iterator[Moved]:
    """Every moved cell inside a phrase. ``heights`` gives each event's pitch in semitones or scale
    steps, None where it has none; events struck together move only as one shape."""
    for first, stop in _with_heights(ground, heights):
        for size in range(SMALLEST, min(LARGEST, (stop - first) // 2) + 1):
            yield from _runs(ground, heights, first, stop, size)


def _with_heights(ground: Ground, heights: Sequence[int | None]) -> Iterator[tuple[int, int]]:
    """The parts of phrases in which every event has a height."""
    for first, stop in ground.phrases:
        start = first
        for index in range(first, stop):
            if heights[index] is None:
                if index > start:
                    yield start, index
                start = index + 1
        if stop > start:
            yield start, stop


def _runs(ground: Ground, heights: Sequence[int | None], first: int, stop: int, size: int) -> Iterator[Moved]:
    """Stretches over which the distance to the event ``size`` before stays the same."""
    start, distance = first, _distance(ground, heights, first, size)
    for place in range(first + 1, stop - size + 1):
        here = _distance(ground, heights, place, size) if place < stop - size else None
        if _same(here, distance, LOOSE * ground.ticks):
            continue
        if distance is not None and distance[0] and (size > 1 or not ground.events[start].single):
            yield from _statements(heights, start, place, size, distance[0])
        start, distance = place, here


def _distance(
    ground: Ground, heights: Sequence[int | None], place: int, size: int
) -> tuple[int, int] | None:
    """Pitch and time from an event to the one ``size`` later; None where they aren't alike."""
    low, high = heights[place], heights[place + size]
    event, later = ground.events[place], ground.events[place + size]
    if low is None or high is None or not _alike(event.pitches, later.pitches):
        return None
    return high - low, later.start - event.start


def _same(here: tuple[int, int] | None, before: tuple[int, int] | None, loose: float) -> bool:
    if here is None or before is None:
        return False
    return here[0] == before[0] and abs(here[1] - before[1]) <= loose


def _alike(pitches: tuple[int, ...], others: tuple[int, ...]) -> bool:
    if len(pitches) == len(others) == 1:
        return True
    return len(pitches) == len(others) and len({a - b for a, b in zip(pitches, others, strict=True)}) == 1


def _statements(
    heights: Sequence[int | None], start: int, stop: int, size: int, interval: int
) -> Iterator[Moved]:
    """The moved cells that a stretch of equal distances holds, from each event it may begin at."""
    for begin in range(start, min(stop, start + size)):
        times = (stop - begin) // size + 1
        for count in range(2, times + 1):
            enough = size >= TWICE if count == 2 else size > 2 or count >= PAIR
            if enough and (size == 1 or not _is_run(heights, begin, size)):
                yield Moved(begin, size, count, interval)


def _is_run(heights: Sequence[int | None], start: int, size: int) -> bool:
    """Whether the cell is only a run of equal steps or one pitch repeated."""
    cell = [height for height in heights[start : start + size + 1] if height is not None]
    return len({b - a for a, b in pairwise(cell)}) <= 1
