from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.neck import FretRange, Player, finger
from solowright.neck.crux import find_move
from solowright.neck.hardest import find_peak, find_peaks, keep_below_peak
from solowright.neck.search import find_paths
from tests.neck.lines import make_lattice, run, run_midi

SIXTEENTH = Fraction(1, 4)
LINE = run("A3 C4 E4 A4 C5 E5 A5 E5", SIXTEENTH, 150)


def test_the_peak_is_reached_and_not_passed():
    player = Player()
    lattice = make_lattice(LINE, player)
    kept = keep_below_peak(lattice)
    (choice,) = find_paths(kept, 1)
    moves = [find_move(kept, choice, i).load for i in range(len(kept.moments))]
    assert max(moves) == pytest.approx(find_peak(lattice))


def test_it_trades_effort_for_the_hardest_move():
    effort, hardest = finger(LINE), finger(LINE, objective="hardest")
    assert hardest.limit_tempo > effort.limit_tempo
    assert hardest.paths[0].cost > effort.paths[0].cost


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(40, 84), min_size=1, max_size=10), st.sampled_from([100, 220]))
def test_peaks_are_the_same_from_both_ends_and_never_fall(line, bpm):
    lattice = make_lattice(run_midi(line, SIXTEENTH, bpm), Player())
    peaks = find_peaks(lattice)
    lowest = [float(each.min()) for each in peaks]
    assert lowest == sorted(lowest) and len(lowest) == len(line)
    assert lowest[-1] == find_peak(lattice)
    middle = len(line) // 2
    onward = find_peaks(lattice, middle, peaks[middle])
    assert all((a == b).all() for a, b in zip(onward, peaks[middle:], strict=True))


@settings(max_examples=30, deadline=None)
@given(st.lists(st.integers(57, 76), min_size=2, max_size=8), st.integers(5, 8))
def test_the_hardest_move_is_made_easy_within_the_ranges(line, low):
    tune = run_midi(line, SIXTEENTH, 200)
    ranges = (FretRange(Fraction(0), Fraction(100), low, low + 7),)
    kept = finger(tune, objective="hardest", ranges=ranges)
    assert all(low <= placed.fret <= low + 7 for placed in kept.paths[0].notes)
    assert kept.limit_tempo >= finger(tune, ranges=ranges).limit_tempo * (1 - 1e-6)
