"""Loudness against pyloudnorm (an ITU-R BS.1770-4 meter of others), true peak against scipy's resampling."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal

from solowright.sound.level import loudness, true_peak
from solowright.sound.mix import mixed, render
from solowright.sound.string import SAMPLE_RATE, Samples
from solowright.sound.tone import choose_rig
from tests.sound.test_mix import whole


def sounds() -> dict[str, Samples]:
    t = np.arange(5 * SAMPLE_RATE) / SAMPLE_RATE
    noise = np.random.default_rng(2).standard_normal(len(t)) * 0.1
    swell = noise * np.where(t < 2, 1.0, 0.01)  # the quiet part falls to the gate
    made = {"sine": 0.5 * np.sin(2 * np.pi * 997 * t), "noise": noise, "swell": swell}
    made["low"] = 0.5 * np.sin(2 * np.pi * 40 * t)
    return {name: sound.astype(np.float32) for name, sound in made.items()} | {"mix": mixed(whole()[1])}


@pytest.mark.parametrize("name", ["sine", "noise", "swell", "low", "mix"])
def test_loudness_is_what_another_meter_reads(name: str) -> None:
    pyloudnorm = pytest.importorskip("pyloudnorm")
    sound = sounds()[name]
    wanted = pyloudnorm.Meter(SAMPLE_RATE).integrated_loudness(sound.astype(float))
    assert loudness(sound) == pytest.approx(wanted, abs=0.1)


def test_full_scale_at_1_khz_is_minus_three() -> None:
    """BS.1770-4: a 0 dBFS sine at 997 Hz on one front channel reads −3.01 LKFS."""
    t = np.arange(3 * SAMPLE_RATE) / SAMPLE_RATE
    assert loudness(np.sin(2 * np.pi * 997 * t).astype(np.float32)) == pytest.approx(-3.01, abs=0.02)
    assert loudness(np.zeros(SAMPLE_RATE, np.float32)) == float("-inf")


@pytest.mark.parametrize("name", ["sine", "noise", "mix"])
def test_true_peak_is_what_resampling_finds(name: str) -> None:
    sound = sounds()[name]
    wanted = np.abs(signal.resample_poly(sound.astype(float), 8, 1)).max()
    assert 20 * np.log10(true_peak(sound) / wanted) == pytest.approx(0, abs=0.2)


def test_a_peak_between_samples_is_seen() -> None:
    """A quarter of the sample rate, 45 degrees off: samples reach 0.707, the wave 1."""
    n = np.arange(SAMPLE_RATE)
    sound = np.sin(np.pi / 2 * n + np.pi / 4).astype(np.float32) * np.hanning(SAMPLE_RATE).astype(np.float32)
    assert np.abs(sound).max() < 0.71
    assert true_peak(sound) == pytest.approx(1.0, abs=0.01)


def test_a_mix_is_as_loud_as_it_says() -> None:
    pyloudnorm = pytest.importorskip("pyloudnorm")
    played, mix = whole()
    heard = mixed(mix)[round(mix.lead * SAMPLE_RATE) :].astype(float)
    assert pyloudnorm.Meter(SAMPLE_RATE).integrated_loudness(heard) == pytest.approx(-18, abs=0.3)
    loudest = mixed(render(played, rig=choose_rig("full"))).astype(float)
    assert np.abs(signal.resample_poly(loudest, 4, 1)).max() < 10 ** (-1 / 20)
