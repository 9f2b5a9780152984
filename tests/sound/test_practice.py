from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.errors import InputError
from solowright.music.pitch import parse_tone
from solowright.music.time import SWING, TempoMap
from solowright.music.tune import Key, Tune
from solowright.sound.mix import render
from solowright.sound.practice import looped, transposed
from solowright.sound.string import SAMPLE_RATE
from tests.sound.tunes import F, bar, note, tune


def song() -> Tune:
    bars = [bar("A7"), bar("D7"), bar(), bar("E7", hits=(F(0),)), bar("A7")]
    line = [note(64 + n, 2 * n, 2, string=2, fret=5 + n) for n in range(9)] + [note(70, 15, 3)]
    made = tune(bars, line, feel=SWING)
    changes = ((F(0), 120.0), (F(10), 90.0), (F(16), 150.0))
    return replace(made, key=Key(parse_tone("A")), tempo=TempoMap(changes))


def test_a_loop_brings_bars_back_with_all_that_is_in_them() -> None:
    made = looped(song(), (3, 4), 3, preroll=1)
    assert len(made.chart.bars) == 1 + 2 * 3 + 1
    assert [made.chart.chord_at(F(4 * n)).symbol for n in range(8)] == [
        "D7", "D7", "E7", "D7", "E7", "D7", "E7", "D7"
    ]  # fmt: skip
    for copy in range(3):
        start = 4 + 8 * copy
        inside = [n for n in made.line.notes if start <= n.onset < start + 8]
        there = [(n.onset - start, n.pitch.midi) for n in inside]
        assert there == [(0, 68), (2, 69), (4, 70), (6, 71), (7, 70)]
        assert inside[-1].end == start + 8  # what rang on over the loop's end is cut there
        assert [made.tempo.at(start + F(t)) for t in (0, 1, 2, 7)] == [120, 120, 90, 90]
    assert made.chart.bars[2].hits == (F(0),) and made.chart.bars[-1].hits == ()


def test_a_loop_sounds_the_same_each_time() -> None:
    made = looped(song(), (3, 4), 3)
    guitar = render(made, stems=("guitar",), count_in=False).stems["guitar"]
    starts = [round(made.seconds(F(8 * n)) * SAMPLE_RATE) for n in range(3)]
    length = starts[2] - starts[1]
    first, second = (guitar[start : start + length].astype(float) for start in starts[1:])
    assert np.sqrt(np.mean((first - second) ** 2)) < 0.05 * np.sqrt(np.mean(first**2))


@pytest.mark.parametrize(("bars", "times"), [((0, 2), 2), ((4, 3), 2), ((5, 6), 1), ((1, 2), 0)])
def test_loops_that_can_not_be_are_refused(bars: tuple[int, int], times: int) -> None:
    with pytest.raises(InputError, match="loop"):
        looped(song(), bars, times)


@settings(max_examples=25, deadline=None)
@given(st.integers(-12, 12))
def test_transposing_moves_everything_and_back_again(semitones: int) -> None:
    plain, moved = song(), transposed(song(), semitones)
    assert abs(moved.key.fifths) <= 6
    for before, after in zip(plain.line.notes, moved.line.notes, strict=True):
        assert after.pitch.midi - before.pitch.midi == semitones
        if after.string and after.fret is not None:
            assert after.fret - (before.fret or 0) == semitones and 0 <= after.fret <= 24
    for (_, _, a), (_, _, b) in zip(plain.chart.spans, moved.chart.spans, strict=True):
        assert a and b and (b.root.pitch_class - a.root.pitch_class - semitones) % 12 == 0
        assert a.degrees == b.degrees
    back = transposed(moved, -semitones)
    assert [n.pitch.midi for n in back.line.notes] == [n.pitch.midi for n in plain.line.notes]


def test_too_far_is_refused() -> None:
    with pytest.raises(InputError, match="give -12 to 12"):
        transposed(song(), 13)
