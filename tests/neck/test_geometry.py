from itertools import pairwise
from math import inf

import pytest

from solowright.errors import InputError
from solowright.neck import Fretboard, fret_distance, gap


def test_twelve_frets_halve_the_string():
    assert fret_distance(12, 600.0) == pytest.approx(300.0)
    assert fret_distance(24, 600.0) == pytest.approx(450.0)


def test_frets_grow_closer():
    gaps = [gap(fret) for fret in range(1, 25)]
    assert all(high < low for low, high in pairwise(gaps))
    assert gap(13) == pytest.approx(gap(1) / 2)


def test_there_is_nothing_below_the_nut():
    assert gap(0) == inf
    with pytest.raises(InputError, match="fret -1"):
        fret_distance(-1)


def test_a_capo_shortens_the_neck():
    board = Fretboard(capo=5)
    assert board.last == 17
    assert board.span(0, 7) == pytest.approx(fret_distance(12) - fret_distance(5))
