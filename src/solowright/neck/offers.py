"""The fingerings to offer: each the cheapest that really differs from all before it, exactly.

Two fingerings differ by a real choice where at least ``STRETCH`` notes in a row lie on other strings
(notes that the neck gives in one place only don't count and don't break the row). How far along such a
row a path is against each earlier path is a counter in the state; the counters that can occur at a
moment are few, since earlier paths mostly agree. Only a band of the lattice is looked at, wide enough
for the answer to lie in it whole. Where strings leave too little to offer, other slurs are.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from solowright.neck.band import Band, cut_band, find_reach, find_totals
from solowright.neck.search import Choice, Lattice, find_paths
from solowright.neck.steps import Moment, Values

STRETCH = 3  # notes in a row on other strings
WIDTH = 0.25  # effort above the last offer in which the next is looked for first
Counters = tuple[int, ...]


@dataclass(frozen=True, eq=False)
class _Stage:
    """The counters that paths can have before a moment, and where each goes: ``onward[d, e]`` is the
    row of the next stage if end e follows counters d."""

    counters: tuple[Counters, ...]
    onward: NDArray[np.intp]


def find_offers(lattice: Lattice, best: int) -> tuple[Choice, ...]:
    """Up to ``best`` paths that differ by a real choice, cheapest first. Raises DeadEnd."""
    offers = find_paths(lattice, 1)
    if best == 1:
        return offers
    open_ = sum(_offers_choice(moment) for moment in lattice.moments)
    reach, width = find_reach(lattice), WIDTH
    dearest = _find_dearest(lattice, reach)
    band = cut_band(lattice, reach, offers[0].cost + width)
    while len(offers) < best and open_:
        strings = [_strings(lattice, offer) for offer in offers]
        other = _search(lattice, band, strings, (min(STRETCH, open_),) * len(offers))
        whole = offers[0].cost + width > dearest
        if other and (whole or other.cost <= offers[0].cost + width):
            offers = (*offers, other)
        elif whole:
            break
        else:
            width *= 2
            band = cut_band(lattice, reach, offers[0].cost + width)
    return offers if len(offers) == best else _add_slurs(lattice, offers, best)


def really_differ(one: tuple[int, ...], other: tuple[int, ...]) -> bool:
    """Whether two fingerings, as strings by note, differ on enough notes in a row."""
    row = longest = 0
    for a, b in zip(one, other, strict=True):
        row = row + 1 if a != b else 0
        longest = max(longest, row)
    return longest >= min(STRETCH, len(one))


def _find_dearest(lattice: Lattice, reach: tuple[Values, ...]) -> float:
    """A bound beyond which every end is in its band."""
    return float(max(total[np.isfinite(total)].max() for total in find_totals(lattice, reach)))


def _add_slurs(lattice: Lattice, offers: tuple[Choice, ...], best: int) -> tuple[Choice, ...]:
    """Offers filled up with other slurs on strings that are offered already."""
    kept = {(_strings(lattice, offer), offer.layers): offer for offer in offers}
    known = {strings for strings, _ in kept}
    for choice in find_paths(lattice, best, by_slurs=True):
        strings = _strings(lattice, choice)
        if len(kept) < best and strings in known:
            kept.setdefault((strings, choice.layers), choice)
    return tuple(sorted(kept.values(), key=lambda choice: choice.cost))


def _strings(lattice: Lattice, choice: Choice) -> tuple[int, ...]:
    rows = zip(lattice.moments, choice.states, strict=True)
    return tuple(int(moment.hands.label[state]) for moment, state in rows)


def _offers_choice(moment: Moment) -> bool:
    return bool(moment.hands.label.max() > 0)


def _search(
    lattice: Lattice, band: Band, strings: list[tuple[int, ...]], goal: Counters
) -> Choice | None:
    """The cheapest path in the band that differs from those on ``strings``; None if none does."""
    stages = _find_stages(lattice, band, strings, goal)
    done = np.array([counters == goal for counters in stages[-1].counters])
    values: list[Values] = [np.where(done[:, None], np.zeros(len(band.ends[-1])), np.inf)]
    for moves, stage in zip(reversed(band.moves), reversed(stages[1:-1]), strict=True):
        values.append((moves + _onward(values[-1], stage)[:, None, :]).min(axis=2))
    values.reverse()
    cost, total, row, states, layers = np.inf, band.opening, 0, [], []
    for index, stage in enumerate(stages[:-1]):
        left = total + _onward(values[index], stage)[row]
        end = int(left.argmin())
        if not index:
            cost = float(left[end])
            if not np.isfinite(cost):
                return None
        layer, state = divmod(int(band.ends[index][end]), len(lattice.moments[index].hands.run))
        states.append(state)
        layers.append(layer)
        row = int(stage.onward[row, end])
        total = band.moves[index][end] if index < len(band.moves) else total
    return Choice(cost, tuple(states), tuple(layers))


def _onward(values: Values, stage: _Stage) -> Values:
    """A moment's values (D', E) by the counters before it: (D, E)."""
    onward: Values = values[stage.onward, np.arange(values.shape[1])]
    return onward


def _find_stages(
    lattice: Lattice, band: Band, strings: list[tuple[int, ...]], goal: Counters
) -> list[_Stage]:
    """One stage before each moment, and one at the end, which leads nowhere."""
    counters: tuple[Counters, ...] = ((0,) * len(goal),)
    stages = []
    for index, (moment, ends) in enumerate(zip(lattice.moments, band.ends, strict=True)):
        if not _offers_choice(moment):
            table = np.repeat(np.arange(len(counters))[:, None], len(ends), axis=1)
            stages.append(_Stage(counters, table))
            continue
        labels = moment.hands.label[ends % len(moment.hands.run)].tolist()
        kinds = {label: tuple(row[index] == label for row in strings) for label in set(labels)}
        moved = {
            label: [_count(at, same, goal) for at in counters] for label, same in kinds.items()
        }
        reached = sorted({each for row in moved.values() for each in row})
        after = {each: number for number, each in enumerate(reached)}
        columns = {label: [after[each] for each in row] for label, row in moved.items()}
        table = np.array([columns[label] for label in labels], dtype=np.intp).T
        stages.append(_Stage(counters, table))
        counters = tuple(after)
    return [*stages, _Stage(counters, np.empty((len(counters), 0), dtype=np.intp))]


@lru_cache(maxsize=4096)
def _count(counters: Counters, same: tuple[bool, ...], goal: Counters) -> Counters:
    return tuple(
        full if at == full else 0 if match else at + 1
        for at, match, full in zip(counters, same, goal, strict=True)
    )
