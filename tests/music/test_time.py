from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from solowright.music.chart import Bar, Chart, ChordAt, Place, Section
from solowright.music.chord import parse_chord
from solowright.music.time import STRAIGHT, SWING, Feel, Meter, TempoMap, steady
from solowright.music.tune import Tune

F = Fraction


def test_swing_moves_the_offbeat_and_leaves_the_beat_and_triplets() -> None:
    assert SWING.played(F(1)) == 1
    assert SWING.played(F(3, 2)) == 1 + F(2, 3)
    assert SWING.played(F(1, 4)) == F(1, 3)
    assert SWING.played(F(1, 3)) == F(1, 3)
    assert Feel(F(3, 2)).played(F(1, 2)) == F(3, 5)
    assert STRAIGHT.played(F(3, 2)) == F(3, 2)


@given(
    st.fractions(1, 3, max_denominator=20),
    st.lists(st.integers(0, 64), min_size=2, max_size=20, unique=True),
)
def test_swing_keeps_the_order_of_binary_attacks(ratio: Fraction, sixteenths: list[int]) -> None:
    feel = Feel(ratio)
    times = [feel.played(F(number, 4)) for number in sorted(sixteenths)]
    assert times == sorted(times) and len(set(times)) == len(times)


def test_seconds_follow_tempo_changes() -> None:
    tempo = TempoMap(((F(0), 120.0), (F(4), 60.0)))
    assert tempo.seconds(F(4)) == 2.0
    assert tempo.seconds(F(6)) == 4.0
    assert tempo.scaled(60).seconds(F(6)) == 8.0
    assert tempo.at(F(3)) == 120.0 and tempo.at(F(4)) == 60.0


def test_a_chart_unrolls_counts_and_finds_its_chords() -> None:
    a, d = parse_chord("A7"), parse_chord("D7")
    upbeat = Bar(short=F(1))
    vamp = Section("Vamp", (Bar(chords=(ChordAt(F(0), a), ChordAt(F(2), d))), Bar(Meter(3, 4))), times=2)
    chart = Chart((Section("In", (upbeat,)), vamp), pickup=True)
    assert [bar.length for bar in chart.bars] == [1, 4, 3, 4, 3]
    assert chart.place(F(0)) == Place(0, F(4))
    assert chart.place(F(1)) == Place(1, F(1))
    assert chart.place(F(17, 2)) == Place(3, F(3, 2))
    assert chart.section_starts == ((0, "In"), (1, "Vamp"), (3, "Vamp"))
    assert chart.chord_at(F(0)) is None
    assert chart.chord_at(F(7)) == d  # held over the barline
    for time in (F(0), F(1), F(5), F(17, 2)):
        assert chart.time(chart.place(time)) == time


def test_swing_counts_from_the_bar_even_after_odd_bars() -> None:
    chart = Chart((Section("A", (Bar(Meter(7, 8)), Bar())),))
    tune = Tune("t", chart, feel=SWING, tempo=steady(60))
    assert tune.seconds(F(7, 2) + F(1, 2)) == 3.5 + float(F(2, 3))
    assert tune.played(F(5, 2)) == 2 + F(2, 3)
    assert tune.played(F(3)) == 3 and tune.played(F(13, 4)) == F(13, 4)  # the seventh eighth stands alone
