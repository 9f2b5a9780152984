"""The hand path: where the index finger rests against time, and what every change of place costs.

A stay begins when its first note sounds and lasts until the hand must leave for the next: as long
before the next note as the move needs (load times the time there is). Seconds are played time,
frets count from the capo.
"""

from __future__ import annotations

from dataclasses import dataclass

from solowright.music.line import Note
from solowright.music.tune import Tune
from solowright.neck.fingering import Path, Placed
from solowright.neck.moments import find_strikes

HAND = 3  # frets from the index to the little finger, one finger a fret


@dataclass(frozen=True, slots=True)
class Stay:
    """The hand in one position from second ``start`` to ``end``: the index finger's ``fret``, the
    lowest and highest fret in reach or used there, and its first and last note (places in the line)."""

    start: float
    end: float
    fret: int
    low: int
    high: int
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class HandShift:
    """The hand leaves one stay at second ``leave`` to be in the next at ``time``, for the note ``note``.

    ``travel`` in mm; ``available`` in seconds since the hand last had something to do; ``load`` is the
    share of it that the move needs; ``slide``: a sounding finger goes along its string.
    """

    leave: float
    time: float
    from_fret: int
    to_fret: int
    travel: float
    available: float
    load: float
    slide: bool
    note: int


@dataclass(frozen=True, slots=True)
class HandPath:
    """Stays in order of time, and the shifts between them."""

    stays: tuple[Stay, ...]
    shifts: tuple[HandShift, ...]


def trace_hand(tune: Tune, path: Path) -> HandPath:
    """The hand path of a fingering. Open strings, taps and rests keep the position they come to."""
    stays: list[Stay] = []
    shifts: list[HandShift] = []
    begun = 0.0
    run: list[tuple[int, Placed]] = []
    last: tuple[Note, ...] = ()
    place = 0
    for struck, second in find_strikes(tune):
        placed = path.notes[place : place + len(struck)]
        numbered = list(enumerate(placed, place))
        place += len(placed)
        position = placed[0].position
        if run and position != run[0][1].position:
            shift = _shift(run[0][1].position, numbered[0], second)
            stays.append(_stay(begun, shift.leave, run))
            shifts.append(shift)
            run = []
        if position and not run:
            begun = second
        if position:
            run += numbered
            last = struck
    if run:
        finish = max(tune.seconds(note.end) for note in last)
        stays.append(_stay(begun, max(begun, finish), run))
    return HandPath(tuple(stays), tuple(shifts))


def _stay(start: float, end: float, notes: list[tuple[int, Placed]]) -> Stay:
    fret = notes[0][1].position
    used = [placed.fret for _, placed in notes if placed.finger]
    return Stay(
        start, max(start, end), fret, min([fret, *used]), max([fret + HAND, *used]), notes[0][0], notes[-1][0]
    )


def _shift(come_from: int, arrival: tuple[int, Placed], second: float) -> HandShift:
    note, placed = arrival
    shift = placed.shift
    if shift is None:
        raise ValueError("the hand can't change its position without a shift")
    leave = second - min(1.0, shift.load) * shift.time
    return HandShift(
        leave, second, come_from, placed.position, shift.travel, shift.time, shift.load,
        placed.entry == "slide", note,
    )
