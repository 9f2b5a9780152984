from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.errors import InputError
from solowright.music.chart import Chart
from solowright.music.time import SWING, Meter
from solowright.music.tune import Tune
from solowright.sound.excerpt import RING_OUT, choose
from solowright.sound.string import SAMPLE_RATE
from tests.sound.tunes import F, bar, tune, vamp


@settings(max_examples=50, deadline=None)
@given(st.fractions(0, 16, max_denominator=12), st.floats(40, 300), st.booleans())
def test_samples_are_the_tunes_seconds_after_the_lead(time: Fraction, tempo: float, counted: bool) -> None:
    swung = vamp(4, feel=SWING)
    excerpt = choose(swung, None, tempo, counted)
    wanted = excerpt.lead + swung.at_tempo(tempo).seconds(time)
    assert abs(excerpt.sample(time) - wanted * SAMPLE_RATE) <= 0.5
    assert excerpt.lead == pytest.approx(4 * 60 / tempo if counted else 0.0)


def test_bars_within_the_tune_end_on_the_barline_and_its_end_rings_out() -> None:
    inside = choose(vamp(8), (3, 5), 150, False)
    assert inside.length == round(3 * 4 * 60 / 150 * SAMPLE_RATE)
    ending = choose(vamp(8), (7, 8), 150, False)
    assert ending.length == round((2 * 4 * 60 / 150 + RING_OUT) * SAMPLE_RATE)


def test_a_count_in_is_one_bar_and_fills_a_pickup() -> None:
    waltz = tune([bar("A7", meter=Meter(3, 4)), bar("D7", meter=Meter(3, 4))], tempo=180)
    assert [one for _, one in choose(waltz, None, None, True).clicks] == [True, False, False]
    upbeat = tune([bar("A7", short=F(1)), bar("A7")], tempo=60, pickup=True)
    excerpt = choose(upbeat, None, None, True)
    assert [seconds for seconds, _ in excerpt.clicks] == [0, 1, 2, 3, 4, 5, 6]
    assert excerpt.lead == 7.0
    assert choose(upbeat, (1, 1), None, True).lead == 4.0
    compound = tune([bar("A7", meter=Meter(12, 8))], tempo=180)
    assert [round(seconds, 6) for seconds, _ in choose(compound, None, None, True).clicks] == [0, 0.5, 1, 1.5]


@pytest.mark.parametrize("tempo", [0, -3, 1e9, float("nan"), float("inf")])
def test_a_senseless_tempo_is_refused(tempo: float) -> None:
    with pytest.raises(InputError, match="quarter notes a minute; give 15 to 500"):
        choose(vamp(2), None, tempo, True)


@pytest.mark.parametrize("bars", [(0, 2), (3, 2), (1, 9), (-1, 1)])
def test_bars_the_tune_has_not_are_refused(bars: tuple[int, int]) -> None:
    with pytest.raises(InputError, match="between 1 and 4"):
        choose(vamp(4), bars, None, True)


def test_hours_of_audio_and_empty_tunes_are_refused() -> None:
    with pytest.raises(InputError, match=r"minutes of audio, more than 20"):
        choose(vamp(400), None, 15, True)
    with pytest.raises(InputError, match="no bars"):
        choose(Tune("empty", Chart(())), None, None, True)
