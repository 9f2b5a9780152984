"""What it takes to get from one way of holding to the next: effort, seconds needed, slurs allowed.

Everything here is independent of tempo, so it is worked out once for a pair of moments and kept.
Rows are the states before (A of them), columns the states after (B).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from solowright.neck.fretboard import Fretboard
from solowright.neck.hands import FREE_RUN, OPEN_POSITION, Hands
from solowright.neck.player import PAIRS, Player

Grid = NDArray[np.float64]
HAMMER, PULL, SLIDE = 1, 2, 3


@dataclass(frozen=True, eq=False)
class Slurs:
    """The slurs between two moments, one entry each, sorted by ``start``. Where there are any at all, a
    state before that has none has one of kind 0, which costs inf: so every state has its stretch."""

    start: NDArray[np.intp]  # state before
    goal: NDArray[np.intp]  # state after
    kind: NDArray[np.int8]
    first: NDArray[np.intp]  # where those of every state before begin
    bounds: tuple[int, ...]  # the same, and where the last end


@dataclass(frozen=True, eq=False)
class Moves:
    """All moves between two moments: (A, B) grids by columns, one after the other, and behind them the
    slurs, so that one product weighs them all.

    ``parts`` (4, A·B + slurs): effort, inf where the move makes no sense; effort of moving the hand, which
    time eases; effort of moving a finger that was down, which time eases sooner; and *strain*, the effort of
    a move's load where there is one second for it: loads weigh next to nothing while there is time, and
    steeply, by their sixth power, where there is not. ``freed``: the moves before which the hand had been
    free for one moment, and for two or more; None where it never was.
    """

    parts: Grid
    needed: Grid  # (A·B + slurs,), seconds
    longest: float  # the most of them
    freed: tuple[NDArray[np.bool_], NDArray[np.bool_]] | None
    travel: Grid  # (A, B), millimetres of the hand
    slurs: Slurs

    def by_run(self, values: Sequence[float]) -> Grid | float:
        """For every move the one of three values that stands for how long the hand had been free; one for
        all of them where it never was."""
        if self.freed is None:
            return values[0]
        found = np.full(len(self.needed), values[0])
        for value, here in zip(values[1:], self.freed, strict=True):
            np.copyto(found, value, where=here)
        return found

    def split(self, flat: Grid) -> tuple[Grid, Grid]:
        """The grid (A, B) and the slurs of what is laid out one after the other."""
        rows, columns = self.travel.shape
        grid = flat[: rows * columns].reshape(columns, rows).T
        return grid, flat[rows * columns :]


@lru_cache(maxsize=4096)
def find_moves(before: Hands, after: Hands) -> Moves:
    """Effort, needed time and slurs for every pair of states, both of one hand on one neck."""
    board, player = after.board, after.player
    travel, room = _travel(before, after, board)
    fingers = _compare_fingers(before, after, player.effort.roll_finger)
    strings = np.abs(_middle(before)[:, None] - _middle(after)[None, :])
    weigh, timing = player.effort, player.timing

    effort = weigh.string * strings + weigh.skip * np.maximum(0.0, strings - 1.0)
    spread, too_far, crossed = _compare_spans(before, after, travel, board, player)
    effort = effort + weigh.spread * spread
    if (interval := _interval(before, after)) is not None:
        change = weigh.reshape if interval else weigh.unison
        effort = effort + change * _differs(before, after, interval)
    far = np.maximum(0, after.position - OPEN_POSITION)
    effort = effort + weigh.high_open * far[None, :] * (before.position == 0)[:, None]
    if before.free:  # a stretch leans on fingers that are down: a hand that is free moves instead
        effort = effort + (before.run > 0)[:, None] * after.stretch[None, :]
    effort[too_far | ~_follows(before, after)] = np.inf

    shift = np.where(travel > 0, weigh.shift + weigh.travel * travel, 0.0)
    shift = np.where(fingers.glides, weigh.guide * shift, shift)
    plant = weigh.roll * fingers.rolls + weigh.jump * fingers.jumps + weigh.cross * crossed
    needed = np.where(fingers.new > 0, timing.finger, 0.0)
    needed = np.maximum(needed, np.where(fingers.rolls > 0, timing.roll, 0.0))
    needed = np.maximum(needed, np.where(fingers.jumps | fingers.glides, timing.jump, 0.0))
    reach_out = timing.bit * np.log2(np.maximum(1.0, 2.0 * travel / room))
    needed = np.maximum(needed, np.where(travel > 0, timing.lift + reach_out, 0.0))
    needed = needed + timing.more_fingers * np.maximum(0, fingers.new - 1)
    slurs, costs, asked = _find_slurs(before, after, effort, reach_out, player, travel > 0)
    pairs = slurs.start, slurs.goal
    seconds = _lay(needed, asked)
    cube = seconds * seconds * seconds
    parts = np.stack((
        _lay(effort, effort[pairs] + costs), _lay(shift, shift[pairs]), _lay(plant, np.zeros(len(costs))),
        weigh.load * cube * cube,
    ))
    freed = None
    if before.free:
        run = np.concatenate((np.tile(before.run, len(after.run)), before.run[slurs.start]))
        freed = run == 1, run == FREE_RUN
    return Moves(parts, seconds, float(seconds.max()), freed, travel, slurs)


def _lay(grid: Grid, slurs: Grid) -> Grid:
    return np.concatenate((grid.ravel(order="F"), slurs))


def _interval(before: Hands, after: Hands) -> int | None:
    """By how many semitones the same music comes again: the same pitch or grip (0), or a grip of the
    same intervals elsewhere; None where it doesn't."""
    steps = {two.midi - one.midi for one, two in zip(before.wants, after.wants, strict=False)}
    if len(before.wants) != len(after.wants) or len(steps) > 1:
        return None
    (step,) = steps
    return step if step == 0 or len(before.wants) > 1 else None


def _middle(hands: Hands) -> Grid:
    """The middle of the strings that sound, in strings."""
    used = hands.frets >= 0
    first = used.argmax(axis=1)
    last = used.shape[1] - 1 - used[:, ::-1].argmax(axis=1)
    middle: Grid = (first + last) / 2.0
    return middle


def _travel(before: Hands, after: Hands, board: Fretboard) -> tuple[Grid, Grid]:
    """Millimetres the hand travels, and the room a fingertip has where it arrives.

    A finger used before and after goes its own way at least, however the hand is held around it.
    """
    distances, gaps = np.array(board.distances), np.array(board.gaps)
    travel = np.abs(distances[after.position][None, :] - distances[before.position][:, None])
    travel[before.position == 0, :] = 0.0
    travel[:, after.position == 0] = 0.0
    for (*_, fret_a), (*_, fret_b) in zip(before.by_finger, after.by_finger, strict=True):
        own = np.abs(distances[fret_b][None, :] - distances[fret_a][:, None])
        both = (fret_a >= 0)[:, None] & (fret_b >= 0)[None, :] & (travel > 0)
        travel = np.where(both, np.maximum(travel, own), travel)
    return travel, np.broadcast_to(gaps[after.position][None, :], travel.shape)


def _compare_spans(
    before: Hands, after: Hands, travel: Grid, board: Fretboard, player: Player
) -> tuple[Grid, NDArray[np.bool_], NDArray[np.bool_]]:
    """How the finger furthest up lies to the next one furthest up, each (A, B): millimetres past their
    rest; whether single fingers are further apart than they reach while the hand stays; whether they
    cross. Only the index leads a shift: fingers 2 to 4 landing against their order cross."""
    rest, most = np.full((5, 5), np.inf), np.full((5, 5), np.inf)
    for pair in PAIRS:
        span = player.span_of(*pair)
        rest[pair], most[pair] = span.rest, span.most
        rest[pair[::-1]], most[pair[::-1]] = span.rest, span.most
    distances = np.array(board.distances)
    (finger_a, fret_a, single_a), (finger_b, fret_b, single_b) = _furthest(before), _furthest(after)
    one, two = finger_a[:, None], finger_b[None, :]
    apart = np.abs(distances[fret_b][None, :] - distances[fret_a][:, None])
    spread = np.maximum(0.0, apart - travel - rest[one, two])
    single = single_a[:, None] & single_b[None, :]
    too_far = single & (travel == 0) & (apart > most[one, two])
    up = fret_b[None, :] - fret_a[:, None]
    crossed = single & (one > 1) & (two > 1) & ((two - one) * up < 0)
    return spread, too_far, crossed


def _furthest(hands: Hands) -> tuple[NDArray[np.int16], NDArray[np.int16], NDArray[np.bool_]]:
    """Finger and fret furthest up the neck in each state, and whether it is the only one down."""
    string = np.where(hands.fingers > 0, hands.frets, -1).argmax(axis=1)
    rows = np.arange(len(string))
    finger = hands.fingers[rows, string]
    return finger, np.maximum(0, hands.frets[rows, string]), (hands.fingers > 0).sum(axis=1) == 1


def _follows(before: Hands, after: Hands) -> NDArray[np.bool_]:
    """A free moment keeps the position it comes with and counts on."""
    position = after.position[None, :] == before.position[:, None]
    run = after.run[None, :] == np.minimum(before.run + 1, FREE_RUN)[:, None]
    follows: NDArray[np.bool_] = (after.run == 0)[None, :] | (position & run)
    return follows


@dataclass(frozen=True, eq=False)
class _Changes:
    """What becomes of the fingers, each (A, B): what rolling to another string at its fret asks of one
    (0: none does), whether one glides along its string, or jumps elsewhere; how many come down anew."""

    rolls: Grid
    glides: NDArray[np.bool_]
    jumps: NDArray[np.bool_]
    new: NDArray[np.int64]


def _compare_fingers(before: Hands, after: Hands, shares: tuple[float, ...] = (1.0,) * 4) -> _Changes:
    """``shares``: how hard each finger rolls. A laid finger is on all the strings it lies over."""
    shape = (len(before.run), len(after.run))
    glides, jumps = np.zeros(shape, dtype=bool), np.zeros(shape, dtype=bool)
    rolls, new = np.zeros(shape), np.zeros(shape, dtype=np.int64)
    for (thin_a, thick_a, fret_a), (thin_b, thick_b, fret_b), share in zip(
        before.by_finger, after.by_finger, shares, strict=True
    ):
        if (thin_b < 0).all():
            continue
        thin, thick = thin_a[:, None], thick_a[:, None]
        string = (thin <= thick_b) & (thin_b <= thick)
        fret = fret_a[:, None] == fret_b[None, :]
        down = (thin_b >= 0)[None, :]
        both = down & (thin >= 0)
        rolls = np.maximum(rolls, share * (both & fret & ~string))
        glides |= both & string & ~fret
        jumps |= both & ~(string | fret)
        new += down & ~((thin <= thin_b) & (thick_b <= thick) & fret)
    return _Changes(rolls, glides, jumps, new)


@lru_cache(maxsize=256)
def find_cuts(before: Hands, after: Hands) -> NDArray[np.bool_]:
    """(A, B): where a string that sounds is stopped elsewhere, or its finger has to leave it."""
    fingers = _compare_fingers(before, after)
    cut: NDArray[np.bool_] = (fingers.rolls > 0) | fingers.glides | fingers.jumps
    for string in range(before.frets.shape[1]):
        a, b = before.frets[:, string][:, None], after.frets[:, string][None, :]
        cut |= (a >= 0) & (b >= 0) & (a != b)
    moved: NDArray[np.bool_] = before.position[:, None] != after.position[None, :]
    cut |= moved & (before.run == 0)[:, None]
    return cut


def _differs(before: Hands, after: Hands, interval: int) -> NDArray[np.bool_]:
    """(A, B): whether the strings or fingers are others than those before, moved by ``interval``."""
    moved = np.where(before.frets >= 0, before.frets + interval, -1)[:, None, :] != after.frets[None, :, :]
    fingers = before.fingers[:, None, :] != after.fingers[None, :, :]
    differs: NDArray[np.bool_] = (moved | fingers).any(axis=2)
    return differs


def _find_slurs(
    before: Hands, after: Hands, effort: Grid, reach_out: Grid, player: Player, travels: NDArray[np.bool_]
) -> tuple[Slurs, Grid, Grid]:
    """The slurs, what each costs on top of its move, and the seconds it needs.

    Hammer-on: up, another finger, one string. Pull-off: down to a lower finger that waits there, or to the
    open string. Slide: the same finger along its string. The hand keeps its position for the first two,
    and goes with the finger for the third.
    """
    shape = effort.shape
    kind = np.zeros(shape, dtype=np.int8)
    mixed = ~np.isfinite(effort) | _silent(before) | _silent(after)
    tapped = any(want.kind == "tap" for want in before.wants)
    stay = before.position[:, None] == after.position[None, :]
    stay |= before.position[:, None] == 0  # a tap or open string with no hand set yet
    along = after.position[None, :].astype(int) - before.position[:, None]
    sounded: NDArray[np.bool_] = np.any(before.frets >= 0, axis=0)
    for string in np.flatnonzero((after.frets >= 0).any(axis=0)):
        a, b = before.frets[:, string][:, None], after.frets[:, string][None, :]
        if not sounded[string]:
            mixed |= b >= 0
            continue
        finger_a, finger_b = before.fingers[:, string][:, None], after.fingers[:, string][None, :]
        here = b >= 0
        above = (finger_b > finger_a) & stay
        up = (a >= 0) & (b > a) & (finger_b > 0) & (above | ((a == 0) & (finger_a == 0)))
        if tapped:
            up &= finger_a > 0
        waits = (finger_b > 0) & stay & ((finger_a > finger_b) | tapped)
        down = (a > b) & here & ((b == 0) | waits)
        slide = (a > 0) & (b > 0) & (a != b) & (finger_a > 0) & (finger_a == finger_b) & (b - a == along)
        this = np.where(up, HAMMER, np.where(down, PULL, np.where(slide, SLIDE, 0)))
        mixed |= here & ((this == 0) | ((kind > 0) & (kind != this)))
        kind = np.where(here & (this > 0), this, kind).astype(np.int8)
    kind[mixed] = 0
    chosen = kind > 0
    if chosen.any():
        chosen[~chosen.any(axis=1), 0] = True
    start, goal = np.nonzero(chosen)
    kinds = kind[start, goal]
    weigh, timing = player.effort, player.timing
    costs = np.array([np.inf, weigh.hammer, weigh.pull, weigh.slide])[kinds]
    lift = np.where(travels, timing.lift + reach_out, 0.0)[start, goal]  # from an open string, elsewhere
    needed = np.where(kinds == SLIDE, reach_out[start, goal], np.maximum(timing.finger, lift))
    bounds = start.searchsorted(np.arange(len(kind) + 1))
    slurs = Slurs(start, goal, kinds, bounds[:-1], tuple(bounds.tolist()))
    return slurs, costs, np.where(kinds, needed, 0.0)


def _silent(hands: Hands) -> bool:
    """Dead notes and harmonics neither give nor take a slur."""
    return any(want.kind in ("dead", "harmonic") for want in hands.wants)
