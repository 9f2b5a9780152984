from __future__ import annotations

import numpy as np
import pytest

from solowright.sound.string import SAMPLE_RATE
from solowright.sound.tone import MILD_GAIN, amplify, antialiased_tanh, equalise


@pytest.mark.parametrize("hertz", [997.0, 1571.0, 2003.0])
def test_what_gain_adds_does_not_fold_back(hertz: float) -> None:
    """Everything that is not a harmonic stays 60 dB under the loudest partial."""
    n = np.arange(2 * SAMPLE_RATE)
    sound = amplify((0.9 * np.sin(2 * np.pi * hertz / SAMPLE_RATE * n)).astype(np.float32), MILD_GAIN + 10)
    piece = sound[SAMPLE_RATE // 2 : -SAMPLE_RATE // 2].astype(float)
    spectrum = np.abs(np.fft.rfft(piece * np.blackman(len(piece))))
    bins = np.fft.rfftfreq(len(piece), 1 / SAMPLE_RATE)
    harmonic = np.abs(bins / hertz - np.round(bins / hertz)) * hertz < 6
    assert spectrum[~harmonic & (bins > 20)].max() < 1e-3 * spectrum.max()
    assert spectrum[np.abs(bins - 3 * hertz) < 6].max() > 1e-2 * spectrum.max()  # it does distort


def test_the_clipper_is_a_tanh_for_slow_signals() -> None:
    x = np.linspace(-3, 3, 20_001)
    assert np.abs(antialiased_tanh(x) - np.tanh(x)).max() < 3e-4
    assert np.isfinite(antialiased_tanh(np.array([0.0, 0.0, 900.0, -900.0, 1e-9]))).all()


def test_a_filter_lifts_what_it_says() -> None:
    n = np.arange(SAMPLE_RATE)
    for hertz, gain in ((2600.0, 4.0), (100.0, 0.0)):
        tone = np.sin(2 * np.pi * hertz / SAMPLE_RATE * n).astype(np.float32)
        lifted = equalise(tone, (("peak", 2600.0, 4.0, 1.2),))[SAMPLE_RATE // 2 :]
        assert 20 * np.log10(np.abs(lifted).max()) == pytest.approx(gain, abs=0.1)


def test_no_gain_and_no_sound_is_silence() -> None:
    assert not amplify(np.zeros(4800, np.float32)).any()
