"""The cheapest ways through all the hands of a line: exact dynamic programming.

A path takes one state per moment, and for each moment a way in: struck (layer 0), or sounded by the
hands alone (layer 1: a slur or a tap). The layer belongs to the state because the pick's time counts
from its last stroke. Values are worked out from the end back, so a walk from the start always knows
the exact cost of the best way to finish; that makes the k best paths a best-first walk over *choices*
(of strings, or of strings and slurs), in which paths that differ by a finger alone are one.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property, lru_cache
from heapq import heappop, heappush
from itertools import count, takewhile

import numpy as np
from numpy.typing import NDArray

from solowright.neck.hands import Hands, round_effort
from solowright.neck.steps import SLURRED, STRUCK, Moment, Step, Values

LOOK = 16  # moments after which it is asked whether anything leads on


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


@dataclass(frozen=True, eq=False)
class Known:
    """What is kept of a lattice for one that shares most of it. All costs are multiples of one grain,
    so what is taken over is what working it out again would give, to the last bit."""

    hands: tuple[Hands, ...]
    steps: tuple[Step, ...]
    values: tuple[Values, ...]
    choice: Choice | None  # the best path, if there is any


@dataclass(frozen=True)
class Lattice:
    """All moments with the moves between them; ``steps[i]`` leads into moment i + 1. ``known``: one that
    was worked out before, to take over what an edit can't have changed."""

    moments: tuple[Moment, ...]
    steps: tuple[Step, ...]
    known: Known | None = None

    @property
    def values(self) -> tuple[Values, ...]:
        """(2, S) a moment: the cost of the state and of the best way from there to the end."""
        return self._solution[0]

    @property
    def settled(self) -> int:
        """How many moments from the first on have the known values but for one constant."""
        return self._solution[1]

    @cached_property
    def _solution(self) -> tuple[tuple[Values, ...], int]:
        known, moments, steps = self.known, self.moments, self.steps
        head = self._count_head()
        values = list(reversed(known.values[len(known.values) - self.tail :])) if known else []
        if not values:
            last = moments[-1].hands.effort
            values = [np.stack((last, last))]
        for index in range(len(moments) - len(values) - 1, -1, -1):
            if index % LOOK == 0 and values[-1].min() == np.inf:  # nothing leads on, nor will it from before
                dead = [np.full((2, len(moment.hands.run)), np.inf) for moment in moments[: index + 1]]
                return (*dead, *reversed(values)), 0
            values.append(moments[index].hands.effort + steps[index].back(values[-1]))
            if known and index < head:
                rise = _find_rise(known.values[index], values[-1])
                if rise is not None:
                    values += [value + rise for value in reversed(known.values[:index])]
                    return tuple(reversed(values)), index + 1
        return tuple(reversed(values)), 0

    @cached_property
    def tail(self) -> int:
        """How many moments at the end are the known ones, with the same moves between them."""
        if not self.known or self.known.hands[-1] is not self.moments[-1].hands:
            return 0
        pairs = zip(
            reversed(self.moments[:-1]), reversed(self.steps),
            reversed(self.known.hands[:-1]), reversed(self.known.steps), strict=False,
        )
        same = (one.hands is hands and step is other for one, step, hands, other in pairs)
        return 1 + _count_true(same)

    def _count_head(self) -> int:
        """How many at the start are."""
        if not self.known or self.known.hands[0] is not self.moments[0].hands:
            return 0
        pairs = zip(self.moments[1:], self.steps, self.known.hands[1:], self.known.steps, strict=False)
        return 1 + _count_true(one.hands is hands and step is other for one, step, hands, other in pairs)

    @cached_property
    def best(self) -> Choice:
        """The best path. Raises DeadEnd."""
        return _find_best(self)

    def learn(self) -> Known:
        """What the next lattice can take over."""
        hands = tuple(moment.hands for moment in self.moments)
        return Known(hands, self.steps, self.values, self.best if self.passable else None)

    @cached_property
    def entry(self) -> Values:
        """(2, S): effort of beginning in a state, inf where the first moment can't begin so."""
        first = self.moments[0]
        opening = np.full((2, len(first.hands.run)), np.inf)
        layer = SLURRED if first.tap else STRUCK
        if first.pick is None and not first.tap:
            return opening
        unset = (first.hands.run == 0) | ((first.hands.position == 0) & (first.hands.run == 1))
        opening[layer, unset] = round_effort(np.full(1, first.pick or 0.0))
        return opening

    @property
    def passable(self) -> bool:
        """Whether any path goes through."""
        return bool(np.isfinite(self.entry + self.values[0]).any())


def _count_true(answers: Iterable[bool]) -> int:
    return sum(1 for _ in takewhile(bool, answers))


def _find_rise(before: Values, after: Values) -> float | None:
    """By how much all values have risen; None where not all by as much."""
    least = int(after.argmin())
    was, now = before.item(least), after.item(least)
    rise = now - was if np.isfinite(now) else 0.0
    return rise if np.isfinite(rise) and np.array_equal(before + rise, after) else None


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
        return (lattice.best,)
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
    costs = np.full((2, len(states), step.cost.shape[1]), np.inf)
    costs[SLURRED] = step.slur_grid[states]
    struck = step.cost[states] + step.stroke[layers]
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
        struck = reached & np.isfinite(step.stroke)
        onward = np.zeros((2, step.cost.shape[1]), dtype=bool)
        onward[SLURRED] = np.isfinite(step.slur_grid[reached.any(axis=0)]).any(axis=0)
        onward[step.landing] |= np.isfinite(step.cost[struck.any(axis=0)]).any(axis=0)
        reached = onward
    return len(lattice.steps)


def _find_best(lattice: Lattice) -> Choice:
    """The one best path: from the start, always on along the value that the end already knows. Where the
    known path is met again and nothing differs from there on, the rest is the known one's."""
    opening = lattice.entry + lattice.values[0]
    layer, state = (int(each) for each in np.unravel_index(opening.argmin(), opening.shape))
    cost = float(opening[layer, state])
    if not np.isfinite(cost):
        raise DeadEnd(_find_dead_end(lattice))
    states, layers = [state], [layer]
    known = lattice.known.choice if lattice.known else None
    if known and lattice.settled and (known.states[0], known.layers[0]) == (state, layer):
        states, layers = list(known.states[: lattice.settled]), list(known.layers[: lattice.settled])
    from_tail = len(lattice.moments) - lattice.tail if known else len(lattice.moments)
    for index in range(len(states) - 1, len(lattice.steps)):
        rest = index - len(lattice.moments)  # counted from the end
        here = states[-1], layers[-1]
        if known and index >= from_tail and (known.states[rest], known.layers[rest]) == here:
            states += known.states[rest:][1:]
            layers += known.layers[rest:][1:]
            break
        state, layer = _go_best(lattice.steps[index], lattice.values[index + 1], *here)
        states.append(state)
        layers.append(layer)
    return Choice(cost, tuple(states), tuple(layers))


def _go_best(step: Step, onward: Values, state: int, layer: int) -> tuple[int, int]:
    """The state and layer after this one on the best path from here."""
    struck = step.cost[state] + onward[step.landing]
    goal = int(struck.argmin())
    slurs = step.moves.slurs
    low, high = slurs.bounds[state], slurs.bounds[state + 1]
    if high > low:
        slurred = step.slurs[low:high] + onward[SLURRED][slurs.goal[low:high]]
        if slurred.min() < struck[goal] + step.stroke[layer, 0]:
            return int(slurs.goal[low + slurred.argmin()]), SLURRED
    return goal, step.landing
