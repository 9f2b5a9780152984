"""What it takes to get from one way of holding to the next: effort, seconds needed, slurs allowed.

Everything here is independent of tempo, so it is worked out once for a pair of moments and kept.
Rows are the states before (A of them), columns the states after (B).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from solowright.neck.fretboard import Fretboard
from solowright.neck.hands import FREE_RUN, OPEN_POSITION, Hands
from solowright.neck.player import Player

Grid = NDArray[np.float64]
HAMMER, PULL, SLIDE = 1, 2, 3


@dataclass(frozen=True, eq=False)
class Slurs:
    """The slurs between two moments, one entry each, sorted by ``start``."""

    start: NDArray[np.intp]  # state before
    goal: NDArray[np.intp]  # state after
    kind: NDArray[np.int8]
    effort: Grid
    shift: Grid
    needed: Grid  # seconds
    rows: NDArray[np.intp]  # the states before that have any
    first: NDArray[np.intp]  # where each of them begins


@dataclass(frozen=True, eq=False)
class Moves:
    """All moves between two moments."""

    effort: Grid  # (A, B), inf where the move makes no sense
    travel: Grid  # (A, B), millimetres of the hand
    shift: Grid  # (A, B), effort of moving the hand, which time eases
    needed: Grid  # (A, B), seconds
    slurs: Slurs


@lru_cache(maxsize=4096)
def find_moves(before: Hands, after: Hands, board: Fretboard, player: Player) -> Moves:
    """Effort, needed time and slurs for every pair of states."""
    travel, room = _travel(before, after, board)
    fingers = _compare_fingers(before, after)
    strings = np.abs(_middle(before)[:, None] - _middle(after)[None, :])
    weigh, timing = player.effort, player.timing

    effort = weigh.string * strings + weigh.skip * np.maximum(0.0, strings - 1.0)
    effort = effort + np.where(fingers.rolls, weigh.roll, 0.0) + np.where(fingers.jumps, weigh.jump, 0.0)
    spread = np.maximum(0.0, _finger_distance(before, after, board) - travel - weigh.spread_free)
    effort = effort + weigh.spread * spread
    if _pitches(before) == _pitches(after):
        effort = effort + weigh.unison * _differs(before, after)
    far = np.maximum(0, after.position - OPEN_POSITION)
    effort = effort + weigh.high_open * far[None, :] * (before.position == 0)[:, None]
    effort[~_follows(before, after)] = np.inf

    shift = np.where(travel > 0, weigh.shift + weigh.travel * travel, 0.0)
    shift = np.where(fingers.glides, weigh.guide * shift, shift)
    needed = np.where(fingers.new > 0, timing.finger, 0.0)
    needed = np.maximum(needed, np.where(fingers.rolls, timing.roll, 0.0))
    needed = np.maximum(needed, np.where(fingers.jumps | fingers.glides, timing.jump, 0.0))
    reach_out = timing.bit * np.log2(np.maximum(1.0, 2.0 * travel / room))
    needed = np.maximum(needed, np.where(travel > 0, timing.lift + reach_out, 0.0))
    needed = needed + timing.more_fingers * np.maximum(0, fingers.new - 1)
    slurs = _find_slurs(before, after, effort, shift, reach_out, player, travel > 0)
    return Moves(effort, travel, shift, needed, slurs)


def _pitches(hands: Hands) -> list[int]:
    return [want.midi for want in hands.wants]


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
    for (_, fret_a), (_, fret_b) in zip(before.by_finger, after.by_finger, strict=True):
        own = np.abs(distances[fret_b][None, :] - distances[fret_a][:, None])
        both = (fret_a >= 0)[:, None] & (fret_b >= 0)[None, :] & (travel > 0)
        travel = np.where(both, np.maximum(travel, own), travel)
    return travel, np.broadcast_to(gaps[after.position][None, :], travel.shape)


def _finger_distance(before: Hands, after: Hands, board: Fretboard) -> Grid:
    """Millimetres along the neck between what was last stopped and what is next, 0 at an open string."""
    distances = np.array(board.distances)
    here, there = before.frets.max(axis=1), after.frets.max(axis=1)
    apart: Grid = np.abs(distances[there][None, :] - distances[here][:, None])
    apart[here == 0, :] = 0.0
    apart[:, there == 0] = 0.0
    return apart


def _follows(before: Hands, after: Hands) -> NDArray[np.bool_]:
    """A free moment keeps the position it comes with and counts on."""
    position = after.position[None, :] == before.position[:, None]
    run = after.run[None, :] == np.minimum(before.run + 1, FREE_RUN)[:, None]
    follows: NDArray[np.bool_] = (after.run == 0)[None, :] | (position & run)
    return follows


@dataclass(frozen=True, eq=False)
class _Changes:
    """What becomes of the fingers, each (A, B): whether one rolls to another string at its fret,
    glides along its string, or jumps elsewhere; and how many come down anew."""

    rolls: NDArray[np.bool_]
    glides: NDArray[np.bool_]
    jumps: NDArray[np.bool_]
    new: NDArray[np.int64]


def _compare_fingers(before: Hands, after: Hands) -> _Changes:
    shape = (len(before.run), len(after.run))
    rolls, glides, jumps = (np.zeros(shape, dtype=bool) for _ in range(3))
    new = np.zeros(shape, dtype=np.int64)
    for (string_a, fret_a), (string_b, fret_b) in zip(before.by_finger, after.by_finger, strict=True):
        if (string_b < 0).all():
            continue
        string = string_a[:, None] == string_b[None, :]
        fret = fret_a[:, None] == fret_b[None, :]
        down = (string_b >= 0)[None, :]
        both = down & (string_a >= 0)[:, None]
        rolls |= both & fret & ~string
        glides |= both & string & ~fret
        jumps |= both & ~(string | fret)
        new += down & ~(string & fret)
    return _Changes(rolls, glides, jumps, new)


@lru_cache(maxsize=256)
def find_cuts(before: Hands, after: Hands) -> NDArray[np.bool_]:
    """(A, B): where a string that sounds is stopped elsewhere, or its finger has to leave it."""
    fingers = _compare_fingers(before, after)
    cut: NDArray[np.bool_] = fingers.rolls | fingers.glides | fingers.jumps
    for string in range(before.frets.shape[1]):
        a, b = before.frets[:, string][:, None], after.frets[:, string][None, :]
        cut |= (a >= 0) & (b >= 0) & (a != b)
    moved: NDArray[np.bool_] = before.position[:, None] != after.position[None, :]
    cut |= moved & (before.run == 0)[:, None]
    return cut


def _differs(before: Hands, after: Hands) -> NDArray[np.bool_]:
    differs: NDArray[np.bool_] = (before.frets[:, None, :] != after.frets[None, :, :]).any(axis=2)
    return differs


def _find_slurs(
    before: Hands, after: Hands, effort: Grid, shift: Grid, reach_out: Grid, player: Player,
    travels: NDArray[np.bool_],
) -> Slurs:
    """Hammer-on: up, another finger, one string. Pull-off: down to a lower finger that waits there, or
    to the open string. Slide: the same finger along its string. The hand keeps its position for the
    first two, and goes with the finger for the third."""
    shape = effort.shape
    kind = np.zeros(shape, dtype=np.int8)
    mixed = ~np.isfinite(effort) | _silent(before) | _silent(after)
    tapped = any(want.kind == "tap" for want in before.wants)
    stay = before.position[:, None] == after.position[None, :]
    stay |= before.position[:, None] == 0  # a tap or open string with no hand set yet
    along = after.position[None, :].astype(int) - before.position[:, None]
    for string in np.flatnonzero((after.frets >= 0).any(axis=0)):
        a, b = before.frets[:, string][:, None], after.frets[:, string][None, :]
        finger_a, finger_b = before.fingers[:, string][:, None], after.fingers[:, string][None, :]
        here = b >= 0
        above = (finger_b > finger_a) & stay
        up = (a >= 0) & (b > a) & (finger_b > 0) & (above | ((a == 0) & (finger_a == 0)))
        if tapped:
            up &= finger_a > 0
        waits = (finger_b > 0) & stay & ((finger_a > finger_b) | tapped)
        down = (a > b) & here & ((b == 0) | waits)
        slide = (a > 0) & (b > 0) & (a != b) & (finger_a > 0) & (finger_a == finger_b) & (b - a == along)
        this = np.select([up, down, slide], [HAMMER, PULL, SLIDE], 0)
        mixed |= here & ((this == 0) | ((kind > 0) & (kind != this)))
        kind = np.where(here & (this > 0), this, kind).astype(np.int8)
    kind[mixed] = 0
    start, goal = np.nonzero(kind)
    kinds = kind[start, goal]
    weigh, timing = player.effort, player.timing
    costs = np.array([0.0, weigh.hammer, weigh.pull, weigh.slide])[kinds]
    lift = np.where(travels, timing.lift + reach_out, 0.0)[start, goal]  # from an open string, elsewhere
    needed = np.where(kinds == SLIDE, reach_out[start, goal], np.maximum(timing.finger, lift))
    rows, first = np.unique(start, return_index=True)
    return Slurs(start, goal, kinds, effort[start, goal] + costs, shift[start, goal], needed, rows, first)


def _silent(hands: Hands) -> bool:
    """Dead notes and harmonics neither give nor take a slur."""
    return any(want.kind in ("dead", "harmonic") for want in hands.wants)
