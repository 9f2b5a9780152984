from fractions import Fraction

import pytest

from solowright.neck import Player, finger
from solowright.neck.crux import find_move
from solowright.neck.hardest import find_peak, keep_below_peak
from solowright.neck.search import find_paths
from tests.neck.lines import make_lattice, run

LINE = run("A3 C4 E4 A4 C5 E5 A5 E5", Fraction(1, 4), 150)


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
