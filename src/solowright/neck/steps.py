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

from solowright.neck.hands import GRAIN, Hands, round_effort
from solowright.neck.moves import Moves, Slurs, find_cuts, find_moves

Values = NDArray[np.float64]
Times = tuple[float, float, float]
Factor = Values | float
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
    pick by the layer before, and of each slur."""

    hand: Values
    stroke: tuple[float, float]
    slurs: Values


@dataclass(frozen=True, eq=False)
class Weights:
    """What the fretting hand's moves cost with the time there is: ``cost`` (A, B) of moves to a note that is
    struck, ``slurs`` one for each of ``moves.slurs``. ``times``: see ``Step``."""

    before: Hands
    moves: Moves
    times: Times
    cost: Values
    slurs: Values

    @cached_property
    def slur_grid(self) -> Values:
        """(A, B): the slurs once more, inf where there is none."""
        grid = np.full(self.cost.shape, np.inf)
        grid[self.moves.slurs.start, self.moves.slurs.goal] = self.slurs
        return grid

    @cached_property
    def playable(self) -> Weights:
        """The weights without the moves beyond the tempo; themselves where there are none."""
        return self.keep_below(1.0 + ROUNDING)

    def keep_below(self, peak: float) -> Weights:
        """The weights without the moves above a load; themselves where there are none."""
        if self.moves.longest <= self.times[0] * peak:
            return self
        needed, slurs = self.moves.needed, self.moves.slurs.needed
        most, most_of_slur = _by_run(tuple(time * peak for time in self.times), self.before, self.moves.slurs)
        cost, slur_cost = self.cost.copy(order="K"), self.slurs.copy()
        cost[needed > most] = np.inf
        slur_cost[slurs > most_of_slur] = np.inf
        return Weights(self.before, self.moves, self.times, cost, slur_cost)


@dataclass(frozen=True, eq=False)
class Step:
    """The cost of every move into one moment, at tempo; without the effort of holding there.

    ``stroke``: effort of striking, by the layer before. ``times``: seconds since each of the three moments
    before: a free hand has had time since longer ago, and so has the pick after a slurred note.
    """

    weights: Weights
    stroke: tuple[float, float]
    times: Times
    tap: bool

    @property
    def moves(self) -> Moves:
        """The same moves, whatever the tempo."""
        return self.weights.moves

    @property
    def before(self) -> Hands:
        """The hands of the moment before."""
        return self.weights.before

    @property
    def cost(self) -> Values:
        """(A, B): effort of the fretting hand's moves."""
        return self.weights.cost

    @property
    def slurs(self) -> Values:
        """Effort of each of the slurs."""
        return self.weights.slurs

    @property
    def landing(self) -> int:
        """The layer in which a note ends up that is not slurred."""
        return SLURRED if self.tap else STRUCK

    def back(self, onward: Values) -> Values:
        """Cost from the states before, (2, A), given the cost (2, B) from the states after."""
        weights = self.weights
        struck = np.minimum.reduce(weights.cost + onward[SLURRED if self.tap else STRUCK], axis=1)
        early, late = self.stroke
        values: Values = np.array((struck + early, struck + late))
        slurs = weights.moves.slurs
        if len(slurs.start):
            best = np.full(len(struck), np.inf)
            best[slurs.rows] = np.minimum.reduceat(weights.slurs + onward[SLURRED][slurs.goal], slurs.first)
            np.minimum(values, best, out=values)
        return values

    @property
    def strike(self) -> float:
        """Seconds from one stroke to the next at the pick's top rate; none where the other hand taps."""
        return 0.0 if self.tap else 1.0 / self.before.player.pick_rate

    @cached_property
    def loads(self) -> Loads:
        """The loads of every move at tempo."""
        moves = self.moves
        pace, slur_pace = _by_run(tuple(1.0 / time for time in self.times), self.before, moves.slurs)
        early, late = (self.strike / time for time in self.times[:2])
        return Loads(moves.needed * pace, (early, late), moves.slurs.needed * slur_pace)

    @cached_property
    def playable(self) -> Step:
        """The step without the moves beyond the tempo; itself where it has none."""
        return self._replace(self.weights.playable, 1.0 + ROUNDING)

    def keep_below(self, peak: float) -> Step:
        """The step without the moves above a load; itself where it has none."""
        return self._replace(self.weights.keep_below(peak), peak)

    def _replace(self, weights: Weights, peak: float) -> Step:
        if weights is self.weights and self.strike <= self.times[0] * peak:
            return self
        early, late = (
            cost if self.strike <= time * peak else np.inf
            for cost, time in zip(self.stroke, self.times, strict=False)
        )
        return Step(weights, (early, late), self.times, self.tap)


def make_steps(moments: tuple[Moment, ...]) -> tuple[Step, ...]:
    """The moves into every moment but the first."""
    steps = []
    for index, (before, after) in enumerate(pairwise(moments), start=1):
        now = after.second
        one, two = moments[max(0, index - 2)].second, moments[max(0, index - 3)].second
        times = round(now - before.second, DIGITS), round(now - one, DIGITS), round(now - two, DIGITS)
        cut = after.hands if after.ringing else None
        weights = _weigh(
            before.hands, find_moves(before.hands, after.hands),
            times if before.hands.free else (times[0],) * 3, cut, after.slurs,
        )
        steps.append(_make_step(weights, times, after.pick, after.tap))
    return tuple(steps)


# Both are kept, since lines repeat themselves and are edited note by note.


@lru_cache(maxsize=2048)
def _weigh(before: Hands, moves: Moves, times: Times, cut: Hands | None, extra: Extras) -> Weights:
    """``cut``: the hands that would cut short what rings."""
    weigh, slurs = before.player.effort, moves.slurs
    pace, slur_pace = _by_run(tuple(time**-6.0 for time in times), before, slurs)
    ease, slur_ease = _by_run(tuple(1.0 / (1.0 + time / weigh.settle) for time in times), before, slurs)
    sooner, _ = _by_run(tuple(1.0 / (1.0 + time / weigh.replant) for time in times), before, slurs)
    cost = moves.strain * pace
    cost += moves.shift * ease
    cost += moves.plant * sooner
    cost += moves.effort
    if cut:
        cost += weigh.cut_short * find_cuts(before, cut)
    slur_cost = slurs.strain * slur_pace
    slur_cost += slurs.shift * slur_ease
    slur_cost += slurs.effort
    slur_cost += _by_kind(extra)[slurs.kind]
    return Weights(before, moves, times, round_effort(cost), round_effort(slur_cost))


@lru_cache(maxsize=4096)
def _make_step(weights: Weights, times: Times, pick: float | None, tap: bool) -> Step:
    player = weights.before.player
    struck = 0.0 if tap else np.inf if pick is None else pick
    stroke = 0.0 if tap else 1.0 / player.pick_rate
    early, late = (_round(struck + player.effort.load * (stroke / time) ** 6) for time in times[:2])
    return Step(weights, (early, late), times, tap)


def _by_run(factors: tuple[float, ...], before: Hands, slurs: Slurs) -> tuple[Factor, Factor]:
    """A factor that depends on how long the hand has been free: for every state before, (A, 1), and for
    every slur; one for all of them where the hand never was."""
    if not before.free:
        return factors[0], factors[0]
    by_run = np.array(factors)[before.run]
    return by_run[:, None], by_run[slurs.start]


def _round(effort: float) -> float:
    return (effort + GRAIN) - GRAIN


@lru_cache(maxsize=64)
def _by_kind(extra: Extras) -> Values:
    """Effort by kind of slur, 0 for none at all; inf where locked out."""
    return np.array([np.inf if each is None else each for each in (None, *extra)])
