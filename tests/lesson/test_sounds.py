"""The lesson's audio: what each file holds, and that coding moves nothing."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
import soundfile

from solowright.lesson.sounds import PROBE_AT, SMALL, Played, code, mixes_of, play_at, probe, switched
from solowright.music.tune import Tune


@pytest.fixture(scope="module")
def played(steps: Tune) -> Played:
    return play_at(steps, 0.8)


def test_it_is_played_at_its_share_of_the_tempo(steps: Tune, played: Played) -> None:
    assert played.tempo == pytest.approx(168.0)
    bars = steps.at_tempo(168.0).seconds(steps.chart.length)
    assert played.mix.seconds == pytest.approx(played.mix.lead + bars + 2.5, abs=0.01)


def test_the_mixes_add_up(played: Played) -> None:
    """Full is what is without the guitar and the guitar alone, less the count-in that both have."""
    mixes = dict(mixes_of(played))
    click = played.counted_in.stems["click"]
    total = mixes["without-guitar"] + mixes["guitar-alone"] - click
    assert np.allclose(mixes["full"], total, atol=1e-5)
    lead = round(played.mix.lead * played.mix.sample_rate)
    assert np.abs(click[:lead]).max() > 0.01 and not click[lead:].any()


def test_the_stems_of_the_page_begin_with_the_first_bar(played: Played) -> None:
    stems = switched(played)
    assert "click" not in stems and {"guitar", "bass", "drums", "comping"} <= set(stems)
    lead = round(played.mix.lead * played.mix.sample_rate)
    assert np.array_equal(stems["guitar"], played.mix.stems["guitar"][lead:])


def test_coding_moves_nothing(played: Played) -> None:
    guitar = played.mix.stems["guitar"]
    back, rate = soundfile.read(BytesIO(code(guitar, SMALL)), dtype="float32")
    assert rate == played.mix.sample_rate and len(back) == len(guitar)
    size = 1 << 18
    spectrum = np.fft.rfft(guitar[: size // 2], size).conj() * np.fft.rfft(back[: size // 2], size)
    shift = int(np.argmax(np.fft.irfft(spectrum)))
    assert shift == 0


def test_the_probe_clicks_where_it_says() -> None:
    back, rate = soundfile.read(BytesIO(probe(SMALL)), dtype="float32")
    begins = int(np.argmax(np.abs(back) > 0.5 * np.abs(back).max()))
    assert begins / rate == pytest.approx(PROBE_AT, abs=0.002)
