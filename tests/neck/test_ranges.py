from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.errors import InputError
from solowright.neck import FretRange, finger, parse_ranges
from tests.neck.lines import run, run_midi

EIGHTH = Fraction(1, 2)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(57, 76), min_size=1, max_size=10), st.integers(5, 8), st.integers(0, 4),
       st.integers(1, 3))
def test_a_range_is_kept_and_the_rest_is_free(line, low, first, best):
    tune = run_midi(line, EIGHTH)
    kept = FretRange(first * EIGHTH, Fraction(100), low, low + 7)
    for path in finger(tune, best=best, ranges=(kept,)).paths:
        assert all(low <= placed.fret <= low + 7 for placed in path.notes[first:])


def test_two_ranges_may_overlap():
    tune = run("A3 C4 D4 E4")
    ranges = (FretRange(Fraction(0), Fraction(2), 5, 9), FretRange(Fraction(1), Fraction(2), 0, 8))
    frets = [placed.fret for placed in finger(tune, ranges=ranges).paths[0].notes]
    assert all(5 <= fret <= 9 for fret in frets) and all(fret <= 8 for fret in frets[2:])


def test_open_strings_count_as_fret_nought():
    tune = run("E4 F4")
    assert finger(tune, ranges=(FretRange(Fraction(0), Fraction(1), 0, 3),)).paths[0].notes[0].fret == 0
    assert finger(tune, ranges=(FretRange(Fraction(0), Fraction(1), 1, 9),)).paths[0].notes[0].fret == 5


def test_a_range_that_leaves_nothing_is_refused():
    with pytest.raises(InputError) as refused:
        finger(run("A3 E2"), ranges=(FretRange(Fraction(0), Fraction(4), 5, 9),))
    assert str(refused.value) == (
        "bar 1 beat 1.5: E2 can't be played within frets 5 to 9 as fixed; widen the range or free the note"
    )


@given(st.integers(1, 8), st.integers(0, 7), st.integers(0, 20), st.integers(0, 9))
def test_ranges_are_read_as_typed(first, more, low, wide):
    tune = run(" ".join(["A3"] * 128))
    last = min(first + more, 17)
    (kept,) = parse_ranges(f"{first}-{last} {low}-{low + wide}", tune)
    assert kept == FretRange(Fraction(4 * (first - 1)), Fraction(4 * last), low, low + wide)


def test_several_ranges_and_single_bars_and_frets():
    tune = run(" ".join(["A3"] * 32))
    assert parse_ranges("1 5, 2-3  0-4", tune) == (
        FretRange(Fraction(0), Fraction(4), 5, 5), FretRange(Fraction(4), Fraction(12), 0, 4)
    )


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("5-8", "'5-8' is no range; write bars and frets, such as 5-8 7-10 or 12 0-4"),
        ("1 2 3", "'1 2 3' is no range"),
        ("", "'' is no range"),
        ("2-1 5", "'2-1 5': there are bars 1 to 2; give the first and the last"),
        ("1-9 5", "'1-9 5': there are bars 1 to 2"),
        ("1 7-5", "'1 7-5': fret 7 lies above fret 5; give the lower one first"),
    ],
)
def test_what_is_no_range_is_refused(text, said):
    with pytest.raises(InputError) as refused:
        parse_ranges(text, run(" ".join(["A3"] * 8)))
    assert str(refused.value).startswith(said)
