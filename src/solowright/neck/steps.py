"""The moves into every moment, weighed by the time there is for them.

A note can be entered in two layers: struck (0), or sounded by the hands alone (1: a slur or a tap). The
layer before counts because the pick's time counts from its last stroke.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from solowright.neck.hands import GRAIN, Hands, round_in_place
from solowright.neck.moves import Moves, find_cuts, find_moves
from solowright.neck.picking import Strike, seconds_to_stroke, seconds_to_tap
from solowright.neck.player import Effort, Player

Values = NDArray[np.float64]
Times = tuple[float, float, float]
Strikes = tuple[Strike, Strike]
Extras = tuple[float | None, float | None, float | None]
STRUCK, SLURRED = 0, 1
DIGITS = 10  # of a second: equal times stay equal wherever in a tune they stand
ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Moment:
    """One thing to play: the hands for it, the second it sounds, and how it may be entered.

    ``pick``: effort on top if struck, None where locks forbid it. ``slurs``: the same for hammer-on,
    pull-off and slide, by kind 1 to 3. ``tap``: the other hand strikes the string. ``ringing``: the
    moment before is meant to ring on into this one.
    """

    hands: Hands
    second: float
    pick: float | None = 0.0
    slurs: tuple[float | None, float | None, float | None] = (0.0, 0.0, 0.0)
    tap: bool = False
    ringing: bool = False


@dataclass(frozen=True, slots=True)
class Loads:
    """Needed time over available time of every move into a moment: of the fretting hand (A, B), of the
    other hand by the layer before, and of each slur."""

    hand: Values
    stroke: tuple[float, float]
    slurs: Values


@dataclass(frozen=True, eq=False)
class Step:
    """The cost of every move into one moment, at tempo; without the effort of holding there.

    ``times``: seconds since each of the three moments before: a free hand has had time since longer ago.
    ``strikes``: what the other hand needs and has, by the layer before; ``stroke`` (2, 1): its effort.
    ``flat`` is laid out as in ``Moves``: ``cost`` (A, B) of the fretting hand's moves to a note that is
    struck, and ``slurs``, one for each of ``moves.slurs``.
    """

    before: Hands
    moves: Moves
    times: Times
    tap: bool
    strikes: Strikes
    stroke: Values
    flat: Values
    cost: Values
    slurs: Values

    @property
    def landing(self) -> int:
        """The layer in which a note ends up that is not slurred."""
        return SLURRED if self.tap else STRUCK

    def back(self, onward: Values) -> Values:
        """Cost from the states before, (2, A), given the cost (2, B) from the states after."""
        struck = np.minimum.reduce(self.cost + onward[SLURRED if self.tap else STRUCK], axis=1)
        values: Values = struck + self.stroke
        slurs = self.moves.slurs
        if len(slurs.start):
            slurred = self.slurs + onward[SLURRED].take(slurs.goal)
            np.minimum(values, np.minimum.reduceat(slurred, slurs.first), out=values)
        return values

    @cached_property
    def slur_grid(self) -> Values:
        """(A, B): the slurs once more, inf where there is none."""
        grid = np.full(self.cost.shape, np.inf)
        grid[self.moves.slurs.start, self.moves.slurs.goal] = self.slurs
        return grid

    @cached_property
    def loads(self) -> Loads:
        """The loads of every move at tempo."""
        moves = self.moves
        hand, slurs = moves.split(moves.needed * moves.by_run([1.0 / time for time in self.times]))
        early, late = self.strikes
        return Loads(hand, (early.load, late.load), slurs)

    @cached_property
    def playable(self) -> Step:
        """The step without the moves beyond the tempo; itself where it has none."""
        return self.keep_below(1.0 + ROUNDING)

    def keep_below(self, peak: float) -> Step:
        """The step without the moves above a load; itself where it has none."""
        moves, shortest = self.moves, self.times[0] * peak
        allowed = [strike.needed <= strike.time * peak for strike in self.strikes]
        if moves.longest <= shortest and all(allowed):
            return self
        most = moves.by_run([time * peak for time in self.times])
        flat = np.where(moves.needed > most, np.inf, self.flat)
        stroke = self.stroke
        if not all(allowed):
            stroke = np.where(np.array(allowed)[:, None], stroke, np.inf)
        return Step(self.before, moves, self.times, self.tap, self.strikes, stroke, flat, *moves.split(flat))


def make_steps(moments: tuple[Moment, ...]) -> tuple[Step, ...]:
    """The moves into every moment but the first."""
    steps, taps = [], any(moment.tap for moment in moments)
    for index, (before, after) in enumerate(pairwise(moments), start=1):
        now, earlier = after.second, moments[index - 2].second if index > 1 else before.second
        since, longer = round(now - before.second, DIGITS), round(now - earlier, DIGITS)
        longest = longer
        if before.hands.free and index > 2:
            longest = round(now - moments[index - 3].second, DIGITS)
        times = since, longer, longest
        strikes = _time_taps(moments[max(0, index - 3) : index], after) if taps else None
        steps.append(_make_step(
            before.hands, after.hands, times, strikes, after.pick, after.slurs, after.tap, after.ringing
        ))
    return tuple(steps)


def _time_strokes(player: Player, times: Times) -> Strikes:
    """What a stroke needs since the stroke before it, and has."""
    needed = seconds_to_stroke(player)
    return Strike("stroke", needed, times[0]), Strike("stroke", needed, times[1])


def _time_taps(before: tuple[Moment, ...], after: Moment) -> Strikes | None:
    """What a tap needs since the stroke or tap before it, and a stroke since a tap, among the three moments
    before; None for strokes among strokes. Before a note that was not struck itself came what could come
    there: where that must have been a slur, what came before that."""
    if not after.tap and not any(moment.tap for moment in before):
        return None
    player, hands = after.hands.player, after.hands

    def strike(since: Moment) -> Strike:
        tapped = since.hands if since.tap else None
        to = seconds_to_tap(player, hands, tapped) if after.tap else seconds_to_stroke(player, tapped)
        return Strike("tap" if tapped else "stroke", to, round(after.second - since.second, DIGITS))

    to = seconds_to_tap(player, hands) if after.tap else seconds_to_stroke(player)
    early = late = Strike("stroke", to, round(after.second - before[-1].second, DIGITS))
    if before[-1].tap:
        return early, strike(before[-1])
    for moment in reversed(before[:-1]):
        late = strike(moment)
        if moment.tap or moment.pick is not None:
            break
    return early, late


@lru_cache(maxsize=4096)  # lines repeat themselves and are edited note by note
def _make_step(
    before: Hands, after: Hands, times: Times, strikes: Strikes | None, pick: float | None, extra: Extras,
    tap: bool, ringing: bool,
) -> Step:
    player, moves = before.player, find_moves(before, after)
    flat = _weigh(moves, times, player.effort)
    cost, slurs = moves.split(flat)
    if ringing:
        cost += player.effort.cut_short * find_cuts(before, after)
    if any(extra) or None in extra:
        slurs += _by_kind(extra)[moves.slurs.kind]
    round_in_place(flat)
    strikes = strikes or _time_strokes(player, times)
    struck = 0.0 if tap else np.inf if pick is None else pick
    stroke = np.array([(_round(struck + player.effort.load * strike.load**6),) for strike in strikes])
    return Step(before, moves, times, tap, strikes, stroke, flat, cost, slurs)


def _weigh(moves: Moves, times: Times, effort: Effort) -> Values:
    """What all moves cost with the time there is."""
    factors = [
        (1.0, 1.0 / (1.0 + time / effort.settle), 1.0 / (1.0 + time / effort.replant), time**-6.0)
        for time in (times[:1] if moves.freed is None else times)
    ]
    flat: Values
    flat, *freed = np.dot(factors, moves.parts)
    for costs, here in zip(freed, moves.freed or (), strict=True):
        np.copyto(flat, costs, where=here)
    return flat


def _round(effort: float) -> float:
    return (effort + GRAIN) - GRAIN


@lru_cache(maxsize=64)
def _by_kind(extra: Extras) -> Values:
    """Effort by kind of slur, 0 for none at all; inf where locked out."""
    return np.array([np.inf if each is None else each for each in (None, *extra)])
