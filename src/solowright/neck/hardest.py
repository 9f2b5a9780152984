"""The other objective: the easiest hardest move, and only then the least effort.

After Hori & Sagayama (ISMIR 2016), who found it good for beginners. First the lowest peak of load that
any path can keep under is worked out, by the same recursion with the larger in place of the sum; then
every move above that peak is taken out of the lattice, and the ordinary search goes on.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from solowright.neck.search import Lattice
from solowright.neck.steps import ROUNDING, SLURRED, STRUCK, Step, Values


def keep_below_peak(lattice: Lattice) -> Lattice:
    """The lattice without the moves that are harder than the hardest has to be."""
    return _keep_below(lattice, find_peak(lattice))


def keep_playable(lattice: Lattice) -> Lattice:
    """The lattice without the moves beyond the tempo."""
    return replace(lattice, steps=tuple(step.playable for step in lattice.steps))


def find_peak(lattice: Lattice) -> float:
    """The lowest load that the hardest move of some path has; inf where there is no path."""
    peaks = _allowed(lattice.moments[-1].hands.effort)
    for moment, step in zip(reversed(lattice.moments[:-1]), reversed(lattice.steps), strict=True):
        peaks = np.maximum(_peaks_before(step, peaks), _allowed(moment.hands.effort))
    return float(np.where(np.isfinite(lattice.entry), peaks, np.inf).min())


def find_peaks(lattice: Lattice, first: int = 0, reach: Values | None = None) -> tuple[Values, ...]:
    """(2, S) for each moment from ``first`` on: the lowest peak of any path up to each end, by the same
    recursion forward. ``reach`` gives those of the moment ``first`` where more comes before it."""
    if reach is None:
        reach = np.where(np.isfinite(lattice.entry), _allowed(lattice.moments[0].hands.effort), np.inf)
    peaks = [reach]
    for step, moment in zip(lattice.steps[first:], lattice.moments[first + 1 :], strict=True):
        peaks.append(np.maximum(_peaks_after(step, peaks[-1]), _allowed(moment.hands.effort)))
    return tuple(peaks)


def _allowed(effort: Values) -> Values:
    """(2, S): 0, inf for the states whose effort rules them out."""
    return np.where(np.isfinite(effort), np.zeros((2, 1)), np.inf)


def _peaks_after(step: Step, peaks: Values) -> Values:
    """(2, B): the lowest peak up to each state, given (2, A) of the moment before."""
    load = step.loads
    struck = np.maximum(peaks, np.array(load.stroke)[:, None])
    struck = np.where(np.isfinite(step.stroke), struck, np.inf).min(axis=0)
    hand = np.where(np.isfinite(step.cost), load.hand, np.inf)
    after = np.full((2, step.cost.shape[1]), np.inf)
    after[step.landing] = np.maximum(struck[:, None], hand).min(axis=0)
    slurs = step.moves.slurs
    if len(slurs.start):
        allowed = np.where(np.isfinite(step.slurs), load.slurs, np.inf)
        np.minimum.at(after[SLURRED], slurs.goal, np.maximum(allowed, peaks.min(axis=0)[slurs.start]))
    return after


def _peaks_before(step: Step, peaks: Values) -> Values:
    """(2, A): the lowest peak from each state on, given (2, B) of the moment after."""
    load = step.loads
    hand = np.maximum(np.where(np.isfinite(step.cost), load.hand, np.inf), peaks[step.landing])
    easiest = hand.min(axis=1)
    before = np.full((2, len(easiest)), np.inf)
    for layer in (STRUCK, SLURRED):
        if np.isfinite(step.stroke[layer, 0]):
            before[layer] = np.maximum(easiest, load.stroke[layer])
    slurs = step.moves.slurs
    if len(slurs.start):
        allowed = np.where(np.isfinite(step.slurs), load.slurs, np.inf)
        least = np.minimum.reduceat(np.maximum(allowed, peaks[SLURRED][slurs.goal]), slurs.first)
        np.minimum(before, least, out=before)
    return before


def _keep_below(lattice: Lattice, peak: float) -> Lattice:
    return replace(lattice, steps=tuple(step.keep_below(peak + ROUNDING) for step in lattice.steps))
