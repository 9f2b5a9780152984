"""The fingerings offered against brute force: every path of short lines, up to seven notes, added up one
by one; the offers are then picked from the full list by the definition of a real choice."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.neck import Player
from solowright.neck.hardest import keep_below_peak
from solowright.neck.offers import STRETCH, find_offers
from tests.neck.lines import lock, make_lattice, run_midi
from tests.outside.test_fingering_search import every_path

CLOSE_STRINGS = (42, 40)
SMALL = Player(frets=4)
LINES = st.lists(st.integers(41, 46), min_size=1, max_size=7)


def strings_of(lattice, choice):
    return tuple(int(moment.hands.label[state])
                 for moment, state in zip(lattice.moments, choice.states, strict=True))


def really_differ(one, other, open_):
    """Enough notes in a row on other strings, counting only notes that have more than one place."""
    row = longest = 0
    for index in open_:
        row = row + 1 if one[index] != other[index] else 0
        longest = max(longest, row)
    return longest >= min(STRETCH, len(open_)) > 0


def check(lattice, best=4):
    cheapest = {}
    for cost, strings, _ in every_path(lattice):
        cheapest[strings] = min(cost, cheapest.get(strings, float("inf")))
    open_ = [index for index, moment in enumerate(lattice.moments) if moment.hands.label.max() > 0]
    offers = find_offers(lattice, best)
    offered = {strings_of(lattice, offer) for offer in offers}
    # Costs are multiples of one grain, so they can be equal; either may come first then.
    ranked = sorted(cheapest.items(), key=lambda item: (round(item[1], 6), item[0] not in offered))
    expected = []
    for strings, cost in ranked:
        if len(expected) < best and all(really_differ(strings, other, open_) for other, _ in expected):
            expected.append((strings, cost))
    costs = [offer.cost for offer in offers]
    assert costs == sorted(costs)
    assert len({(strings_of(lattice, offer), offer.layers) for offer in offers}) == len(offers)
    least = {}
    for offer in offers:
        strings = strings_of(lattice, offer)
        least[strings] = min(offer.cost, least.get(strings, float("inf")))
    assert sorted(least.values())[: len(expected)] == pytest.approx([cost for _, cost in expected])
    for one, other in pairwise(least):
        assert really_differ(one, other, open_)


@settings(max_examples=25, deadline=None)
@given(LINES, st.sampled_from([60, 140, 300]))
def test_every_offer_is_the_cheapest_that_really_differs(line, bpm):
    check(make_lattice(run_midi(line, bpm=bpm, tuning=CLOSE_STRINGS), SMALL))


@settings(max_examples=10, deadline=None)
@given(LINES.filter(len), st.integers(1, 4), st.sampled_from([140, 300]))
def test_with_a_locked_finger(line, used, bpm):
    tune = lock(run_midi(line, bpm=bpm, tuning=CLOSE_STRINGS), len(line) // 2, finger=used)
    check(make_lattice(tune, SMALL))


@settings(max_examples=10, deadline=None)
@given(LINES, st.sampled_from([140, 300]))
def test_for_the_least_hardest_move(line, bpm):
    lattice = make_lattice(run_midi(line, bpm=bpm, tuning=CLOSE_STRINGS), SMALL)
    check(keep_below_peak(lattice))
