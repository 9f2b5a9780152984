"""Loudness and peaks: how loud a sound is (ITU-R BS.1770) and how high it reaches between samples."""

from __future__ import annotations

import warnings

import numpy as np
from scipy import signal

from solowright.sound.string import SAMPLE_RATE, Samples

_BLOCK = 2048
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

    Only stretches whose samples come within 3 dB of the highest are looked at in between.
    """
    blocks = np.abs(sound[: len(sound) // _BLOCK * _BLOCK].reshape(-1, _BLOCK)).max(axis=1, initial=0.0)
    peak = float(np.abs(sound).max(initial=0.0))
    for block in np.flatnonzero(blocks > 0.7 * peak):
        piece = sound[max(0, block * _BLOCK - 32) : (block + 1) * _BLOCK + 32]
        peak = max(peak, float(np.abs(signal.resample_poly(piece, 4, 1)).max()))
    return peak
