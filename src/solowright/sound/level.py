"""Loudness and peaks: how loud a sound is (ITU-R BS.1770) and how high it reaches between samples."""

from __future__ import annotations

import warnings

import numpy as np
from scipy import signal

from solowright.sound.string import SAMPLE_RATE, Samples

_BLOCK, _MARGIN = 2048, 32
_SHORTEST = 0.4  # seconds; BS.1770 measures in blocks of this length


def loudness(sound: Samples) -> float:
    """Integrated loudness in LUFS; minus infinity for silence and for less than 0.4 s."""
    from pyloudnorm import Meter  # type: ignore[import-untyped, unused-ignore]

    if len(sound) <= _SHORTEST * SAMPLE_RATE:
        return float("-inf")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # the logarithm of silence
        return float(Meter(SAMPLE_RATE).integrated_loudness(np.asarray(sound, np.float64)))


def true_peak(sound: Samples) -> float:
    """The highest absolute value at four times the sample rate (BS.1770 annex 2), linear.

    Only stretches whose samples come within 2 dB of the highest are looked at in between.
    """
    padded = np.pad(sound, (_MARGIN, _MARGIN + -len(sound) % _BLOCK))
    pieces = np.lib.stride_tricks.sliding_window_view(padded, _BLOCK + 2 * _MARGIN)[::_BLOCK]
    peaks = np.abs(pieces).max(axis=1, initial=0.0)
    peak = float(peaks.max(initial=0.0))
    if not peak:
        return 0.0
    between = signal.resample_poly(pieces[peaks > 0.8 * peak], 4, 1, axis=1)
    return max(peak, float(np.abs(between).max()))
