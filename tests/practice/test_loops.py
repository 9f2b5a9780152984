"""Loops are cut where music begins and lands, and keep the solo's fingering."""

from __future__ import annotations

import itertools
from fractions import Fraction
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.demo import bundled_tune
from solowright.errors import InputError
from solowright.music.chart import Bar, Chart, Section
from solowright.music.line import Note, make_line
from solowright.music.pitch import plain
from solowright.music.tune import Tune
from solowright.neck import apply_path, finger
from solowright.practice.loops import REACH, find_loops, loop_excerpt, loop_tune

BARS = Chart((Section("A", (Bar(),) * 4),))


def _tune(midis: list[tuple[Fraction, int]], step: Fraction = Fraction(1, 2)) -> Tune:
    return Tune("T", BARS, make_line([Note(plain(midi), onset, step) for onset, midi in midis]))


def test_a_shift_in_the_middle_is_met_in_motion_and_landed() -> None:
    # Eighths in first position, then a leap to the twelfth position on the last eighth of bar 1.
    low = [64, 65, 64, 65, 64, 65, 67]
    midis = [(Fraction(n, 2), midi) for n, midi in enumerate([*low, 84, 84, 82, 84, 82])]
    tune = _tune(midis)
    (loop, *_) = find_loops(tune, finger(tune).paths[0])
    assert loop.crux.bar == 1 and loop.crux.beat == Fraction(9, 2)
    assert loop.start == Fraction(2)  # beat 3, three moves before the leap
    assert tune.chart.place(loop.end - Fraction(1, 2)).beat == 1  # lands on bar 2 beat 1
    assert loop.name == "bars 1-2 from beat 3" and loop.bars == (1, 2)


def test_the_demos_loops_are_apart_and_hardest_first() -> None:
    tune = bundled_tune()
    path = finger(tune).paths[0]
    loops = find_loops(tune, path)
    assert len(loops) == 4 and len({loop.name for loop in loops}) == 4
    assert max(placed.load for placed in path.notes) == pytest.approx(loops[0].load)
    ordered = sorted(loops, key=lambda loop: loop.start)
    assert all(one.end <= two.start for one, two in itertools.pairwise(ordered))
    for loop in loops:
        assert loop.limit_tempo >= path.limit_tempo - 1e-6
        assert loop.why and loop.start < loop.end


def test_a_loop_keeps_the_fingering_and_its_bar_numbers() -> None:
    tune = bundled_tune()
    path = finger(tune).paths[0]
    fingered = apply_path(tune, path)
    loop = find_loops(tune, path)[0]
    inside = [note for note in fingered.line.notes if loop.start <= note.onset < loop.end]
    played = loop_tune(fingered, loop, times=3)
    assert [(note.string, note.fret, note.finger) for note in played.line.notes] == 3 * [
        (note.string, note.fret, note.finger) for note in inside
    ]
    excerpt = loop_excerpt(fingered, loop)
    assert excerpt.chart.place(excerpt.line.notes[0].onset) == fingered.chart.place(inside[0].onset)
    assert [bar.length for bar in excerpt.chart.bars] == [
        fingered.chart.bars[fingered.chart.index(number)].length
        for number in range(loop.bars[0], loop.bars[1] + 1)
    ]


def test_one_note_needs_no_practice() -> None:
    tune = _tune([(Fraction(0), 60)])
    with pytest.raises(InputError, match="needs practice"):
        find_loops(tune, finger(tune).paths[0])


@given(st.lists(st.integers(52, 80), min_size=3, max_size=24), st.integers(1, 4))
@settings(max_examples=25, deadline=None)
def test_what_always_holds(midis: list[int], most: int) -> None:
    tune = _tune([(Fraction(n, 2), midi) for n, midi in enumerate(midis)])
    path = finger(tune).paths[0]
    if path.limit_tempo == inf:
        return
    loops = find_loops(tune, path, most=most)
    assert 1 <= len(loops) <= most
    for loop in loops:
        crux = tune.chart.time(loop.crux)
        assert loop.start <= crux < loop.end
        assert crux - loop.start <= 2 * REACH and loop.end - crux <= 2 * REACH
        assert loop.limit_tempo * loop.load == pytest.approx(tune.tempo.first)
