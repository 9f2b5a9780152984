import pytest

from solowright.neck import Player
from solowright.neck.search import DeadEnd, find_paths
from tests.neck.lines import lock, make_lattice, run


def test_the_cost_of_a_path_is_what_its_moves_add_up_to():
    lattice = make_lattice(run("A3 C4 D4 E4 G4"), Player())
    (choice,) = find_paths(lattice, 1)
    total = lattice.entry[choice.layers[0], choice.states[0]]
    total += sum(m.hands.effort[s] for m, s in zip(lattice.moments, choice.states, strict=True))
    for index, step in enumerate(lattice.steps):
        total += step.stroke[choice.layers[index], 0]
        total += step.cost[choice.states[index], choice.states[index + 1]]
    assert set(choice.layers) == {0}
    assert choice.cost == pytest.approx(total)


def test_the_first_of_many_is_the_best():
    lattice = make_lattice(run("A3 C4 D4 E4 G4 A4"), Player())
    assert find_paths(lattice, 5)[0].cost == pytest.approx(find_paths(lattice, 1)[0].cost)


def test_a_dead_end_names_its_moment():
    tune = lock(lock(run("A3 C4 D4 E4"), 1, string=3), 2, string=2, entry="hammer")
    with pytest.raises(DeadEnd) as end:
        find_paths(make_lattice(tune, Player()), 1)
    assert end.value.index == 2
