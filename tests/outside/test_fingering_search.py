"""The search against brute force: every path of short lines on small necks, added up one by one."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.neck import Player
from solowright.neck.hardest import keep_below_peak
from solowright.neck.search import find_paths
from tests.neck.lines import lock, make_lattice, run, run_midi

TWO_STRINGS = (45, 40)
SMALL = Player(frets=6)


def every_path(lattice, by_label=True):
    """(cost, strings, layers) of every path there is, by plain recursion; or states for strings."""
    found = []

    def walk(index, state, layer, cost, labels, layers):
        cost += lattice.moments[index].hands.effort[state]
        labels = (*labels, int(lattice.moments[index].hands.label[state]) if by_label else state)
        layers = (*layers, layer)
        if index == len(lattice.steps):
            found.append((float(cost), labels, layers))
            return
        step = lattice.steps[index]
        for goal in range(len(step.cost[0])):
            onward = cost + step.stroke[layer, 0] + step.cost[state, goal]
            if onward < float("inf"):
                walk(index + 1, goal, 1 if step.tap else 0, onward, labels, layers)
        for slur, start in enumerate(step.moves.slurs.start):
            if start == state and step.slurs[slur] < float("inf"):
                walk(index + 1, int(step.moves.slurs.goal[slur]), 1, cost + step.slurs[slur], labels, layers)

    for layer in (0, 1):
        for state, cost in enumerate(lattice.entry[layer]):
            if cost < float("inf"):
                walk(0, state, layer, cost, (), ())
    return found


def peak_of(lattice, path):
    """The highest load of a path; the loads of each step by the model's own table."""
    _, states, layers = path
    peak = 0.0
    for index, step in enumerate(lattice.steps):
        load = step.loads
        a, b, slurs = states[index], states[index + 1], step.moves.slurs
        if layers[index + 1] == 0 or step.tap:
            peak = max(peak, load.hand[a, b], load.stroke[layers[index]])
        else:
            peak = max(peak, *load.slurs[(slurs.start == a) & (slurs.goal == b)])
    return float(peak)


def best_by(found, key):
    least = {}
    for path in found:
        least[key(path)] = min(path[0], least.get(key(path), float("inf")))
    return sorted(least.values())


def check(tune, best=4):
    lattice = make_lattice(tune, SMALL)
    found = every_path(lattice)
    assert find_paths(lattice, 1)[0].cost == pytest.approx(min(found)[0])
    for by_slurs, key in ((False, lambda path: path[1]), (True, lambda path: path[1:])):
        expected = best_by(found, key)[:best]
        paths = find_paths(lattice, best, by_slurs)
        assert [path.cost for path in paths] == pytest.approx(expected)
        assert all(one.cost <= two.cost + 1e-9 for one, two in pairwise(paths))


@settings(max_examples=25, deadline=None)
@given(st.lists(st.integers(41, 51), min_size=1, max_size=4), st.sampled_from([60, 140, 300]))
def test_single_notes(line, bpm):
    check(run_midi(line, bpm=bpm, tuning=TWO_STRINGS))


@settings(max_examples=15, deadline=None)
@given(st.lists(st.integers(41, 51), min_size=2, max_size=4), st.sampled_from([140, 300]))
def test_the_least_hardest_move(line, bpm):
    lattice = make_lattice(run_midi(line, bpm=bpm, tuning=TWO_STRINGS), SMALL)
    paths = [(peak_of(lattice, path), path[0]) for path in every_path(lattice, by_label=False)]
    lowest = min(paths)[0]
    (choice,) = find_paths(keep_below_peak(lattice), 1)
    assert peak_of(lattice, (choice.cost, choice.states, choice.layers)) == pytest.approx(lowest)
    assert choice.cost == pytest.approx(min(cost for peak, cost in paths if peak <= lowest + 1e-9))


@settings(max_examples=10, deadline=None)
@given(st.lists(st.sampled_from([41, 42, 43, 44]), min_size=5, max_size=5), st.sampled_from([90, 300]))
def test_five_notes_that_one_string_gives(line, bpm):
    check(run_midi(line, bpm=bpm, tuning=TWO_STRINGS))


@settings(max_examples=10, deadline=None)
@given(st.lists(st.sampled_from(["E2", "A2", "G2", "B2", "G2+C3", "F2+A2", "E2+B2"]), min_size=2, max_size=3))
def test_open_strings_and_double_stops(words):
    check(run(" ".join(words), bpm=160, tuning=TWO_STRINGS))


@settings(max_examples=10, deadline=None)
@given(st.lists(st.integers(42, 49), min_size=3, max_size=4), st.integers(1, 4))
def test_with_a_locked_finger(line, used):
    check(lock(run_midi(line, bpm=200, tuning=TWO_STRINGS), 1, finger=used))


def tapped(words):
    """Frets of the lower string; ``t`` before one that is tapped."""
    tune = run_midi([40 + int(word.lstrip("t")) for word in words], bpm=300, tuning=TWO_STRINGS)
    for index, word in enumerate(words):
        if word[0] == "t":
            tune = lock(tune, index, entry="tap")
    return tune


@settings(max_examples=15, deadline=None)
@given(st.lists(st.sampled_from(["1", "2", "4", "t5", "t6"]), min_size=2, max_size=4))
def test_taps(words):
    check(tapped(words))
    lattice = make_lattice(tapped(words), SMALL)
    lowest = min(peak_of(lattice, path) for path in every_path(lattice, by_label=False))
    (choice,) = find_paths(keep_below_peak(lattice), 1)
    assert peak_of(lattice, (choice.cost, choice.states, choice.layers)) == pytest.approx(lowest)
