"""The cheapest ways through all the hands of a line: exact dynamic programming.

A path takes one state per moment, and for each moment a way in: struck (layer 0), or sounded by the
hands alone (layer 1: a slur or a tap). The layer belongs to the state because the pick's time counts
from its last stroke. Values are worked out from the end back, so a walk from the start always knows
the exact cost of the best way to finish; that makes the k best paths a best-first walk over *choices*
(of strings, or of strings and slurs), in which paths that differ by a finger alone are one.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from heapq import heappop, heappush
from itertools import count, pairwise

import numpy as np
from numpy.typing import NDArray

from solowright.neck.fretboard import Fretboard
from solowright.neck.hands import Hands
from solowright.neck.moves import Moves, find_cuts, find_moves
from solowright.neck.player import Effort, Player

Values = NDArray[np.float64]
STRUCK, SLURRED = 0, 1
DIGITS = 10  # of a second: equal times stay equal wherever in a tune they stand


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


@dataclass(frozen=True)
class Step:
    """The cost of every move into one moment, at tempo."""

    moment: Moment
    moves: Moves
    cost: Values  # (A, B), without the pick's own load
    stroke: tuple[float, float]  # effort of striking, by the layer before
    slurs: Values  # one for each of ``moves.slurs``
    loads: Loads

    def back(self, onward: Values) -> Values:
        """Cost from the states before, (2, A), given the cost (2, B) from the states after."""
        struck = (self.cost + onward[self.landing]).min(axis=1)
        values = np.empty((2, len(struck)))
        values[STRUCK] = struck + self.stroke[STRUCK]
        values[SLURRED] = struck + self.stroke[SLURRED]
        slurs = self.moves.slurs
        if len(slurs.start):
            best = np.minimum.reduceat(self.slurs + onward[SLURRED][slurs.goal], slurs.first)
            values[:, slurs.rows] = np.minimum(values[:, slurs.rows], best)
        return values

    @property
    def landing(self) -> int:
        """The layer in which a note ends up that is not slurred."""
        return SLURRED if self.moment.tap else STRUCK

    @cached_property
    def slur_grid(self) -> Values:
        """(A, B): the slurs once more, inf where there is none."""
        grid = np.full(self.cost.shape, np.inf)
        grid[self.moves.slurs.start, self.moves.slurs.goal] = self.slurs
        return grid


@dataclass(frozen=True, slots=True)
class Choice:
    """One path: the state of every moment, whether it was struck, and what all of it costs."""

    cost: float
    states: tuple[int, ...]
    layers: tuple[int, ...]


class DeadEnd(Exception):  # noqa: N818 - control flow between two modules, never shown
    """No way to enter the moment at ``index``."""

    def __init__(self, index: int) -> None:
        super().__init__(index)
        self.index = index


def make_steps(moments: tuple[Moment, ...], board: Fretboard, player: Player) -> tuple[Step, ...]:
    """The moves into every moment but the first."""
    return tuple(
        make_step(moments, index, find_moves(before.hands, after.hands, board, player), player)
        for index, (before, after) in enumerate(pairwise(moments), start=1)
    )


def make_step(moments: tuple[Moment, ...], index: int, moves: Moves, player: Player) -> Step:
    """Weighs the moves into a moment by the time there is for them."""
    moment = moments[index]
    times = _Times(time_for_hand(moments, index), time_for_pick(moments, index))
    cuts = moments[index - 1].hands, moment.hands if moment.ringing else None
    cost, stroke, slurs, loads = _weigh(moves, times, *cuts, moment.pick, moment.slurs, moment.tap, player)
    return Step(moment, moves, cost, stroke, slurs, loads)


@dataclass(frozen=True, slots=True)
class _Times:
    """Seconds since the fretting hand last had something to do, by the run of free moments before; and
    since the last stroke, by the layer before."""

    hand: tuple[float, ...]
    pick: tuple[float, float]


@lru_cache(maxsize=2048)
def _weigh(
    moves: Moves, times: _Times, before: Hands, cut: Hands | None, pick: float | None,
    extra: tuple[float | None, float | None, float | None], tap: bool, player: Player,
) -> tuple[Values, tuple[float, float], Values, Loads]:
    """Cost, stroke, slurs and loads of a step: kept, since lines repeat themselves and are edited note
    by note. ``cut``: the hands that would cut short what rings."""
    weigh, hand = player.effort, np.array(times.hand)
    loads = _find_loads(moves, times, before.run, tap, player)
    ease = (1.0 / (1.0 + hand / weigh.settle))[before.run]
    cost = load_effort(loads.hand, weigh)
    cost += moves.shift * ease[:, None]
    cost += moves.effort
    if cut:
        cost += weigh.cut_short * find_cuts(before, cut)
    slurs = moves.slurs
    slur_cost = load_effort(loads.slurs, weigh)
    slur_cost += slurs.shift * ease[slurs.start]
    slur_cost += slurs.effort
    slur_cost += _by_kind(extra)[slurs.kind]
    struck = 0.0 if tap else np.inf if pick is None else pick
    early, late = (struck + weigh.load * load**6 for load in loads.stroke)
    return cost, (early, late), slur_cost, loads


@lru_cache(maxsize=64)
def _by_kind(extra: tuple[float | None, float | None, float | None]) -> Values:
    """Effort by kind of slur, 0 for none at all; inf where locked out."""
    return np.array([np.inf if each is None else each for each in (None, *extra)])


def find_loads(moments: tuple[Moment, ...], index: int, moves: Moves, player: Player) -> Loads:
    """The loads at tempo of every move into a moment; the pick has none where the other hand taps."""
    times = _Times(time_for_hand(moments, index), time_for_pick(moments, index))
    return _find_loads(moves, times, moments[index - 1].hands.run, moments[index].tap, player)


def _find_loads(
    moves: Moves, times: _Times, run: NDArray[np.int16], tap: bool, player: Player
) -> Loads:
    pace = (1.0 / np.array(times.hand))[run]
    stroke = 0.0 if tap else 1.0 / player.pick_rate
    early, late = (stroke / time for time in times.pick)
    return Loads(
        moves.needed * pace[:, None], (early, late), moves.slurs.needed * pace[moves.slurs.start]
    )


def load_effort(load: Values, weigh: Effort) -> Values:
    """Next to nothing while there is time, steep where there is not: the sixth power of the load."""
    cube = load * load * load
    return weigh.load * cube * cube


def time_for_hand(moments: tuple[Moment, ...], index: int) -> tuple[float, float, float]:
    """Seconds since the fretting hand last had something to do, by the run of free moments before."""
    now = moments[index].second
    none, one, two = (moments[max(0, index - back)].second for back in (1, 2, 3))
    return round(now - none, DIGITS), round(now - one, DIGITS), round(now - two, DIGITS)


def time_for_pick(moments: tuple[Moment, ...], index: int) -> tuple[float, float]:
    """Seconds since the last stroke, by the layer before: a slurred note gives the pick its time."""
    now = moments[index].second
    early, late = moments[index - 1].second, moments[max(0, index - 2)].second
    return round(now - early, DIGITS), round(now - late, DIGITS)


@dataclass(frozen=True)
class Lattice:
    """All moments with the moves between them; ``steps[i]`` leads into moment i + 1."""

    moments: tuple[Moment, ...]
    steps: tuple[Step, ...]

    @cached_property
    def values(self) -> tuple[Values, ...]:
        """(2, S) a moment: the cost of the state and of the best way from there to the end."""
        last = self.moments[-1].hands.effort
        values = [np.stack((last, last))]
        for index in range(len(self.steps) - 1, -1, -1):
            values.append(self.moments[index].hands.effort + self.steps[index].back(values[-1]))
        return tuple(reversed(values))

    @cached_property
    def entry(self) -> Values:
        """(2, S): effort of beginning in a state, inf where the first moment can't begin so."""
        first = self.moments[0]
        opening = np.full((2, len(first.hands.run)), np.inf)
        layer = SLURRED if first.tap else STRUCK
        if first.pick is None and not first.tap:
            return opening
        unset = (first.hands.run == 0) | ((first.hands.position == 0) & (first.hands.run == 1))
        opening[layer, unset] = first.pick or 0.0
        return opening

    @property
    def passable(self) -> bool:
        """Whether any path goes through."""
        return bool(np.isfinite(self.entry + self.values[0]).any())


@dataclass(frozen=True)
class _Walk:
    """A prefix of choices: its open ends, the cost to stand in each, and where each came from.

    Ends are states in both layers: end = layer · S + state.
    """

    index: int
    ends: NDArray[np.intp]
    spent: Values
    before: _Walk | None
    came_from: NDArray[np.intp]


def find_paths(lattice: Lattice, best: int, by_slurs: bool = False) -> tuple[Choice, ...]:
    """The ``best`` cheapest paths that differ in strings, cheapest first, exactly; fewer where the
    line allows no more. ``by_slurs``: paths that differ in what is slurred count as different too.
    """
    if best == 1:
        return (_best_path(lattice),)
    queue: list[tuple[float, int, int, int, NDArray[np.intp], Values, NDArray[np.intp], _Walk | None]] = []
    ticket = count()

    def offer(index: int, spent: Values, origin: NDArray[np.intp], before: _Walk | None) -> None:
        """Queues what leads to each choice of the moment, by the cost of its best completion."""
        choices = _choices(lattice.moments[index].hands, by_slurs)
        total = spent + lattice.values[index].ravel()
        bounds = np.minimum.reduceat(total[choices.order], choices.first)
        for bound, ends in zip(bounds.tolist(), choices.ends, strict=True):
            if bound < np.inf:
                heappush(queue, (bound, -index, next(ticket), index, ends, spent, origin, before))

    start = lattice.entry.ravel()
    offer(0, start, np.zeros(len(start), dtype=np.intp), None)
    found: list[Choice] = []
    while queue and len(found) < best:
        *_, index, ends, spent, origin, before = heappop(queue)
        walk = _Walk(index, ends, spent[ends], before, origin[ends])
        if index == len(lattice.steps):
            found.append(_unwind(walk, lattice))
        else:
            offer(index + 1, *_go_on(walk, lattice), walk)
    if not found:
        raise DeadEnd(_find_dead_end(lattice))
    return tuple(found)


@dataclass(frozen=True, eq=False)
class _Choices:
    """The ends of a moment by choice: all of them in order of choice, where each choice begins, and
    the ends of each."""

    order: NDArray[np.intp]
    first: NDArray[np.intp]
    ends: tuple[NDArray[np.intp], ...]


@lru_cache(maxsize=4096)
def _choices(hands: Hands, by_slurs: bool) -> _Choices:
    """The ends that count as one choice: the same strings (and the same layer)."""
    labels = int(hands.label.max()) + 1
    flat = np.concatenate((hands.label, hands.label + (labels if by_slurs else 0)))
    order = np.argsort(flat, kind="stable")
    first = np.searchsorted(flat[order], np.arange(int(flat.max()) + 1))
    return _Choices(order, first, tuple(np.split(order, first[1:])))


def _go_on(walk: _Walk, lattice: Lattice) -> tuple[Values, NDArray[np.intp]]:
    """The least cost to stand in every end of the next moment, and the walk's end it comes from."""
    step, hands = lattice.steps[walk.index], lattice.moments[walk.index].hands
    layers, states = np.divmod(walk.ends, len(hands.run))
    spent = walk.spent + hands.effort[states]
    costs = np.full((2, len(states), len(step.moment.hands.run)), np.inf)
    costs[SLURRED] = step.slur_grid[states]
    struck = step.cost[states] + np.array(step.stroke)[layers][:, None]
    costs[step.landing] = np.minimum(costs[step.landing], struck)
    costs += spent[:, None]
    origin = costs.argmin(axis=1)
    return np.take_along_axis(costs, origin[:, None, :], axis=1).ravel(), origin.ravel()


def _unwind(walk: _Walk, lattice: Lattice) -> Choice:
    total = walk.spent + np.tile(lattice.moments[walk.index].hands.effort, 2)[walk.ends]
    place = int(total.argmin())
    cost = float(total[place])
    states, layers = [], []
    step: _Walk | None = walk
    while step is not None:
        layer, state = divmod(int(step.ends[place]), len(lattice.moments[step.index].hands.run))
        states.append(state)
        layers.append(layer)
        place = int(step.came_from[place])
        step = step.before
    return Choice(cost, tuple(reversed(states)), tuple(reversed(layers)))


def _find_dead_end(lattice: Lattice) -> int:
    """The first moment that nothing leads into, counted from the start."""
    reached = np.isfinite(lattice.entry)
    for index, step in enumerate(lattice.steps):
        if not reached.any():
            return index
        struck = reached & np.isfinite(step.stroke)[:, None]
        onward = np.zeros((2, len(step.moment.hands.run)), dtype=bool)
        onward[SLURRED] = np.isfinite(step.slur_grid[reached.any(axis=0)]).any(axis=0)
        onward[step.landing] |= np.isfinite(step.cost[struck.any(axis=0)]).any(axis=0)
        reached = onward
    return len(lattice.steps)


def _best_path(lattice: Lattice) -> Choice:
    """The one best path: from the start, always on along the value that the end already knows."""
    opening = lattice.entry + lattice.values[0]
    layer, state = (int(each) for each in np.unravel_index(opening.argmin(), opening.shape))
    cost = float(opening[layer, state])
    if not np.isfinite(cost):
        raise DeadEnd(_find_dead_end(lattice))
    states, layers = [state], [layer]
    for index, step in enumerate(lattice.steps):
        onward = lattice.values[index + 1]
        struck = step.cost[state] + onward[step.landing]
        goal = int(struck.argmin())
        least = struck[goal] + step.stroke[layer]
        slurs = step.moves.slurs
        low, high = np.searchsorted(slurs.start, (state, state + 1))
        layer = step.landing
        if high > low:
            slurred = step.slurs[low:high] + onward[SLURRED][slurs.goal[low:high]]
            if slurred.min() < least:
                goal, layer = int(slurs.goal[low + slurred.argmin()]), SLURRED
        state = goal
        states.append(state)
        layers.append(layer)
    return Choice(cost, tuple(states), tuple(layers))
