"""A clock that tunes share tells each of them what a new one would."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.music.chart import Bar, Chart, Section
from solowright.music.clock import Clock
from solowright.music.line import Note, make_line
from solowright.music.pitch import plain
from solowright.music.time import STRAIGHT, SWING, Meter, TempoMap
from solowright.music.tune import Tune

BARS = (Bar(short=Fraction(1)), Bar(), Bar(Meter(7, 8)), Bar(Meter(3, 4)))
TEMPO = TempoMap(((Fraction(0), 120.0), (Fraction(6), 90.0)))


@settings(max_examples=40, deadline=None)
@given(
    st.permutations(BARS),
    st.booleans(),
    st.sampled_from((STRAIGHT, SWING)),
    st.lists(st.fractions(0, 20, max_denominator=12), max_size=12),
)
def test_what_it_was_asked_before_changes_nothing(bars, pickup, feel, times) -> None:
    chart = Chart((Section("A", tuple(bars)),), pickup)
    tune = Tune("t", chart, feel=feel, tempo=TEMPO)
    other = replace(tune, title="u", line=make_line([Note(plain(60), Fraction(1), Fraction(1))]))
    first = [tune.seconds(time) for time in times]
    for time, second in zip(times, first, strict=True):
        alone = Clock(TEMPO, feel, chart.starts, chart.lead_in(0))
        assert second == other.seconds(time) == alone.seconds(time) == TEMPO.seconds(other.played(time))


def test_a_tune_without_bars_goes_straight() -> None:
    assert Tune("t", Chart((), pickup=True), feel=SWING, tempo=TEMPO).seconds(Fraction(1, 2)) == 0.25
