"""One shape moved along the neck: where the line repeats a cell at a constant interval.

A cell of three notes or more that is no plain run, repeated at once with the same rhythm, each time the
same interval higher or lower, may be played by one shape (strings and fingers) that moves by as many
frets. The few cheapest shapes of the cell are tried over the whole sequence; one is kept where it costs
at most ``WORTH`` more, for each move, than the cheapest fingering without it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from math import inf

import numpy as np
from numpy.typing import NDArray

from solowright.music.chart import Place
from solowright.music.line import Note
from solowright.music.tune import Tune
from solowright.neck.hands import Hands
from solowright.neck.search import DeadEnd, Lattice, find_paths
from solowright.neck.steps import Moment, Step

WORTH = 4.0  # effort that a shape saves by being moved once (assumed)
LENGTHS = range(3, 9)  # notes of a cell
TRIED = 8  # shapes of a cell
AROUND = 4  # notes before and after that have their say
FARTHEST = 4  # semitones: what is a fourth away lies on the next string
STEP = 2  # semitones of a scale step
Grip = tuple[int, int, int]  # string, fret, finger
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Sequence:
    """A cell of ``length`` notes from the moment ``start`` on, played ``times`` times, ``interval``
    semitones further each time."""

    start: int
    length: int
    times: int
    interval: int

    @property
    def end(self) -> int:
        return self.start + self.length * self.times


@dataclass(frozen=True, slots=True)
class Shape:
    """A shape that is kept and moved: where it begins and ends, how often it is played, how far it moves
    each time in frets (down is negative), its strings and fingers, and a sentence."""

    start: Place
    end: Place
    times: int
    interval: int
    strings: tuple[int, ...]
    fingers: tuple[int, ...]
    sentence: str


def find_sequences(tune: Tune) -> tuple[Sequence, ...]:
    """Cells repeated at a constant interval: three times, or twice from four notes on. Longest first
    where they overlap; only single notes, no grace notes."""
    events = tuple(tune.line.events())
    if len(events) < 2 * LENGTHS[0]:
        return ()
    pitch = np.array([event[0].pitch.midi for event in events])
    single = np.array([len(event) == 1 and _is_plain(event[0]) for event in events])
    gap = np.diff([float(event[0].onset) for event in events]).round(9)
    move = np.diff(pitch)
    found = []
    for length in LENGTHS:
        if len(move) <= length:
            break
        same = (move[:-length] == move[length:]) & (gap[:-length] == gap[length:])
        found += _sequences_of(length, same, pitch)
    taken: set[int] = set()
    kept = []
    for each in sorted(found, key=lambda each: (-each.length * each.times, each.length, each.start)):
        span = set(range(each.start, each.end))
        if not span & taken and single[each.start : each.end].all():
            taken |= span
            kept.append(each)
    return tuple(sorted(kept, key=lambda each: each.start))


def _is_plain(note: Note) -> bool:
    """What may be moved along as part of a shape; what rings on is held as a grip."""
    return not (note.grace or note.dead or note.let_ring)


def _sequences_of(length: int, same: Flags, pitch: NDArray[np.int_]) -> list[Sequence]:
    """Sequences of one cell length: runs of moves that equal those ``length`` later."""
    found = []
    edges = np.flatnonzero(np.diff(np.concatenate(([False], same, [False])).astype(np.int8)))
    for begin, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        times = (end - begin + 1) // length + 1
        interval = int(pitch[begin + length] - pitch[begin])
        cell = np.diff(pitch[begin : begin + length + 1])
        if (times >= 3 or (times == 2 and length > 3)) and 0 < abs(interval) <= FARTHEST and not _runs(cell):
            found.append(Sequence(begin, length, times, interval))
    return found


def _runs(moves: NDArray[np.int_]) -> bool:
    """Whether a cell is part of a plain run: all its moves alike, or steps of a scale one way."""
    steps = np.abs(moves) <= STEP
    one_way = bool((moves > 0).all() or (moves < 0).all())
    return len(set(moves.tolist())) == 1 or (one_way and bool(steps.all()))


def keep_shapes(tune: Tune, lattice: Lattice, last_fret: int) -> tuple[Lattice, tuple[Shape, ...]]:
    """The tune's lattice in which repeated cells keep their shapes, with what that saves taken off the
    effort; itself, and no shapes, where none is worth it. What the tune fixes stays fixed."""
    locks: dict[int, Grip] = {}
    shapes, moves = [], []
    for sequence in find_sequences(tune):
        shape = _find_shape(lattice, sequence, last_fret)
        if shape:
            locks |= _spread(shape, sequence)
            moves += [sequence.start + sequence.length * time for time in range(1, sequence.times)]
            shapes.append(_describe(tune, sequence, shape))
    if not shapes:
        return lattice, ()
    return _restrict(lattice, locks, moves), tuple(shapes)


def _spread(shape: tuple[Grip, ...], sequence: Sequence) -> dict[int, Grip]:
    """String and finger of every moment of a sequence."""
    span = range(sequence.start, sequence.end)
    return {index: shape[(index - sequence.start) % sequence.length] for index in span}


def _find_shape(lattice: Lattice, sequence: Sequence, last_fret: int) -> tuple[Grip, ...] | None:
    """The cheapest shape for a sequence and what lies around it; None if it isn't worth it."""
    first = max(0, sequence.start - AROUND)
    around = _cut_out(lattice, first, sequence.end + AROUND)
    return _find_best_shape(
        around.moments, around.steps, replace(sequence, start=sequence.start - first), last_fret
    )


@lru_cache(maxsize=64)  # an edit leaves most sequences what they were
def _find_best_shape(
    moments: tuple[Moment, ...], steps: tuple[Step, ...], sequence: Sequence, last_fret: int
) -> tuple[Grip, ...] | None:
    lattice = Lattice(moments, steps)
    best: tuple[Grip, ...] | None = None
    least = _price(lattice) + WORTH * (sequence.times - 1)
    for shape in _shapes_of(_cut_out(lattice, sequence.start, sequence.start + sequence.length)):
        if _fits(shape, sequence, last_fret):
            cost = _price(_restrict(lattice, _spread(shape, sequence), []))
            if cost < least:
                best, least = shape, cost
    return best


def _cut_out(lattice: Lattice, first: int, last: int) -> Lattice:
    """The moments from first up to last alone."""
    moments = lattice.moments[first:last]
    return Lattice(moments, lattice.steps[first : first + len(moments) - 1])


def _price(lattice: Lattice) -> float:
    """The least effort from end to end; inf where that can't be played alone."""
    try:
        return lattice.best.cost
    except DeadEnd:
        return inf


def _shapes_of(cell: Lattice) -> list[tuple[Grip, ...]]:
    """The cheapest ways to play a cell that differ in strings."""
    try:
        choices = find_paths(cell, TRIED)
    except DeadEnd:
        return []
    holds = [
        [moment.hands.holds[state] for moment, state in zip(cell.moments, choice.states, strict=True)]
        for choice in choices
    ]
    return [tuple((h.spots[0].string, h.spots[0].fret, h.fingers[0]) for h in row) for row in holds]


def _fits(shape: tuple[Grip, ...], sequence: Sequence, last_fret: int) -> bool:
    """Whether a shape without open strings stays on the neck all the way."""
    farthest = sequence.interval * (sequence.times - 1)
    return all(fret > 0 and 1 <= fret + farthest <= last_fret for _, fret, _ in shape)


def _restrict(lattice: Lattice, locks: dict[int, Grip], moves: list[int]) -> Lattice:
    """The lattice with strings and fingers fixed at some moments, and with what a moved shape saves
    taken off at others."""
    moments = list(lattice.moments)
    for index, (string, _, finger) in locks.items():
        hands = _keep_grip(moments[index].hands, string, finger, WORTH * (index in moves))
        moments[index] = replace(moments[index], hands=hands)
    return Lattice(tuple(moments), lattice.steps)


@lru_cache(maxsize=1024)
def _keep_grip(hands: Hands, string: int, finger: int, saved: float) -> Hands:
    """The hands with a string and finger fixed: the other ways cost inf."""
    kept = hands.fingers[:, string - 1] == finger
    kept &= hands.frets[:, string - 1] >= 0
    return replace(hands, effort=np.where(kept, hands.effort - saved, inf))


def _describe(tune: Tune, sequence: Sequence, shape: tuple[Grip, ...]) -> Shape:
    events = tuple(tune.line.events())
    start, end = (tune.chart.place(events[at][0].onset) for at in (sequence.start, sequence.end - 1))
    frets, way = abs(sequence.interval), "up" if sequence.interval > 0 else "down"
    sentence = (f"From {start} to {end}: one shape, played {_times(sequence.times)}, "
                f"each time {frets} fret{'s' if frets > 1 else ''} {way}.")
    return Shape(start, end, sequence.times, sequence.interval, tuple(s for s, _, _ in shape),
                 tuple(f for _, _, f in shape), sentence)


def _times(count: int) -> str:
    return "twice" if count == 2 else f"{count} times"
