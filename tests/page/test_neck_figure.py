"""A piece of neck: in proportion, long enough, and marked where the fingers stand."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from solowright.neck.geometry import fret_distance
from solowright.page.crop import crop_bars
from solowright.page.engrave import engrave
from solowright.page.neck_figure import Dot, Neck, draw_neck, fit_neck
from tests.page.tunes import short_tune

PLACES = st.lists(st.tuples(st.integers(1, 6), st.integers(0, 22)), min_size=1, max_size=8)


@given(PLACES)
def test_every_place_is_on_it(places: list[tuple[int, int]]) -> None:
    neck = fit_neck(places, 6, 120.0)
    for string, fret in places:
        assert 0 < neck.y(string) < neck.height
        assert 0 < neck.x(fret) < neck.width
        assert not fret or neck.low <= fret <= neck.high
    assert neck.high - neck.low >= 4


def test_frets_shrink_as_on_a_neck() -> None:
    neck = Neck(6, 1, 22, 500.0)
    drawn = [neck.wire(fret) for fret in range(23)]
    true = [fret_distance(fret) for fret in range(23)]
    unit = (drawn[-1] - drawn[0]) / (true[-1] - true[0])
    for (one, other), (near, far) in zip(pairwise(drawn), pairwise(true), strict=True):
        assert other - one == pytest.approx(unit * (far - near))
    assert all(neck.wire(fret - 1) < neck.x(fret) < neck.wire(fret) for fret in range(1, 23))
    assert neck.x(0) < neck.wire(0) and neck.y(1) < neck.y(6)


def test_a_dot_for_each_mark() -> None:
    svg = draw_neck(Neck(6, 5, 9, 120.0), [Dot(1, 5, "1"), Dot(2, 7, "3", False)])
    assert svg.count('class="dot"') == 3, "a filled one, and an open one made of two"
    assert re.findall(r'class="dot-text" data-text="(.)"', svg) == ["1", "3"]


def test_bars_are_cut_out_of_their_systems() -> None:
    systems = engrave(short_tune())
    bar, left, right = systems[0].bars[1]
    ((svg, width, height),) = crop_bars(systems, bar, bar)
    assert width == pytest.approx(right - left + 2.0) and height == systems[0].height
    assert f'viewBox="{left - 1.0:.2f}'.rstrip("0").rstrip(".") in svg
    everything = list(crop_bars(systems, 1, 8))
    assert len(everything) == len(systems)
    assert everything[0][1] == pytest.approx(systems[0].bars[-1][2] + 1.0, abs=1.1)
