from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.sound.string import (
    SAMPLE_RATE,
    Loop,
    Motion,
    Samples,
    add_at,
    fractional_delay,
    hear,
    midi_hertz,
    pluck,
    run_string,
)  # fmt: skip

SUSTAINED = Loop(6.0, 2.0, 5e-5)


def sounding(hertz: float, loop: Loop = SUSTAINED, seconds: float = 1.0) -> Samples:
    motion, drive = Motion([], []), np.zeros(round(seconds * SAMPLE_RATE), np.float32)
    motion.add(0, loop.filters(hertz))
    add_at(drive, 0, pluck(hertz, 0.2, 0.3))
    return run_string(motion, drive)


def level(sound: Samples, at: float) -> float:
    piece = sound[round(at * SAMPLE_RATE) :][: SAMPLE_RATE // 10].astype(float)
    return float(20 * np.log10(np.sqrt(np.mean(piece**2))))


@settings(max_examples=30, deadline=None)
@given(st.integers(28, 96), st.floats(0.06, 0.5), st.floats(0.1, 2.0))
def test_a_pluck_puts_in_no_dc_and_stays_within_one(midi: int, place: float, contact: float) -> None:
    shape = pluck(midi_hertz(midi), place, contact)
    assert abs(float(shape.astype(float).sum())) < 1e-4
    assert np.abs(shape).max() <= 1.0
    assert shape[0] == 0.0


def test_a_string_falls_60_db_in_its_decay_time() -> None:
    for decay in (0.5, 2.0):
        sound = sounding(110.0, Loop(decay, decay), seconds=1.6 * decay)
        fall = level(sound, 0.1) - level(sound, 0.1 + decay)
        assert fall == pytest.approx(60.0, abs=2.0)


def test_high_partials_die_first() -> None:
    sound = sounding(110.0, seconds=2.0)

    def strength(at: float, partial: int) -> float:
        piece = sound[round(at * SAMPLE_RATE) :][:16384] * np.hanning(16384)
        spectrum = np.abs(np.fft.rfft(piece))
        middle = round(partial * 110.0 * 16384 / SAMPLE_RATE)
        return float(20 * np.log10(spectrum[middle - 3 : middle + 4].max()))

    low, high = (strength(0.1, k) - strength(1.4, k) for k in (1, 24))
    assert high > low + 5


def test_a_knot_with_no_gain_stops_the_string_dead() -> None:
    motion, drive = Motion([], []), np.zeros(9600, np.float32)
    filters = SUSTAINED.filters(220.0)
    motion.add(0, filters)
    motion.add(4800, (filters[0], 0.0, 0.0, 0.0))
    add_at(drive, 0, pluck(220.0, 0.2, 0.3))
    sound = run_string(motion, drive)
    assert np.abs(sound[2000:4700]).max() > 0.1
    assert not sound[4800:].any()


def test_retuning_a_running_string_leaves_no_click() -> None:
    """The steepest step after the retuning is no steeper than the plucked wave's own."""
    motion, drive = Motion([], []), np.zeros(SAMPLE_RATE, np.float32)
    motion.add(0, SUSTAINED.filters(220.0))
    motion.add(24000, SUSTAINED.filters(220.0))
    motion.add(24072, SUSTAINED.filters(246.94))
    add_at(drive, 0, pluck(220.0, 0.2, 0.3))
    steps = np.abs(np.diff(run_string(motion, drive)))
    assert steps[23990:26000].max() <= 1.25 * steps[22000:23990].max()


@settings(max_examples=25, deadline=None)
@given(st.floats(2.0, 600.0))
def test_a_fractional_delay_delays_by_that_much(delay: float) -> None:
    hertz, n = 700.0, np.arange(4000)
    tone = np.sin(2 * np.pi * hertz / SAMPLE_RATE * n).astype(np.float32)
    wanted = np.sin(2 * np.pi * hertz / SAMPLE_RATE * (n - delay))
    assert np.abs(fractional_delay(tone, delay) - wanted)[700:].max() < 1e-4


def test_a_pickup_in_the_middle_hears_no_even_partials() -> None:
    sound = hear(sounding(110.0, Loop(6.0, 6.0)), 0.5, 110.0)[2000:34768]
    spectrum = np.abs(np.fft.rfft(sound * np.hanning(len(sound))))
    peaks = [spectrum[round(k * 110.0 * len(sound) / SAMPLE_RATE) - 3 :][:7].max() for k in range(1, 5)]
    assert min(peaks[0], peaks[2]) > 100 * max(peaks[1], peaks[3])


def test_sound_past_the_end_is_dropped() -> None:
    sound = np.zeros(10, np.float32)
    add_at(sound, 8, np.ones(5, np.float32))
    add_at(sound, 30, np.ones(5, np.float32))
    assert sound.tolist() == [0] * 8 + [1, 1]
