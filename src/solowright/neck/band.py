"""The part of a lattice that paths of at most a given cost can pass through.

A state in a layer (an *end*) belongs to the band where the best path through it costs no more than the
bound: the least cost up to it from the start plus the least cost from it to the finish, both exact. So
whatever costs no more than the bound lies in the band whole, and searches that carry more in their
state can leave out the rest and stay exact.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solowright.neck.search import Lattice
from solowright.neck.steps import SLURRED, Step, Values

Ends = NDArray[np.intp]  # layer · states + state


@dataclass(frozen=True, eq=False)
class Band:
    """``ends`` of every moment; ``opening``: the cost to begin in each; ``moves[i]``: from the ends of
    moment i to those of i + 1, the effort of holding there included."""

    ends: tuple[Ends, ...]
    opening: Values
    moves: tuple[Values, ...]


def find_reach(lattice: Lattice) -> tuple[Values, ...]:
    """(2, S) a moment: the least cost of getting there, the state's own effort included."""
    reach = [lattice.entry + lattice.moments[0].hands.effort]
    for step, moment in zip(lattice.steps, lattice.moments[1:], strict=True):
        reach.append(_forward(step, reach[-1]) + moment.hands.effort)
    return tuple(reach)


def _forward(step: Step, reach: Values) -> Values:
    onward = np.full((2, step.cost.shape[1]), np.inf)
    struck = (reach + step.stroke).min(axis=0)
    onward[step.landing] = (struck[:, None] + step.cost).min(axis=0)
    slurs = step.moves.slurs
    if len(slurs.start):
        np.minimum.at(onward[SLURRED], slurs.goal, reach.min(axis=0)[slurs.start] + step.slurs)
    return onward


def find_totals(lattice: Lattice, reach: tuple[Values, ...]) -> tuple[Values, ...]:
    """(2, S) a moment: the cost of the best path through each end."""
    rows = zip(lattice.moments, reach, lattice.values, strict=True)
    return tuple(there + on - _finite(moment.hands.effort) for moment, there, on in rows)


def _finite(effort: Values) -> Values:
    """States that are ruled out keep their infinity in what they are taken from."""
    return np.where(np.isfinite(effort), effort, 0.0)


def cut_band(lattice: Lattice, reach: tuple[Values, ...], bound: float) -> Band:
    """The ends through which some path costs no more than the bound, and the moves between them."""
    ends = tuple(np.flatnonzero(total <= bound) for total in find_totals(lattice, reach))
    opening = reach[0].ravel()[ends[0]]
    moves = tuple(
        _cut(step, before, after) + lattice.moments[index].hands.effort[after % step.cost.shape[1]]
        for index, (step, before, after) in enumerate(
            zip(lattice.steps, ends, ends[1:], strict=False), start=1
        )
    )
    return Band(ends, opening, moves)


def _cut(step: Step, before: Ends, after: Ends) -> Values:
    layer, start = np.divmod(before, step.cost.shape[0])
    landed, goal = np.divmod(after, step.cost.shape[1])
    moves: Values = step.cost[start[:, None], goal] + step.stroke[layer]
    moves[:, landed != step.landing] = np.inf
    if (landed == SLURRED).any() and len(step.moves.slurs.start):
        slurs = np.where(landed == SLURRED, step.slur_grid[start[:, None], goal], np.inf)
        moves = np.minimum(moves, slurs)
    return moves
