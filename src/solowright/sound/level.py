"""Loudness and peaks: how loud a sound is (ITU-R BS.1770-4) and how high it reaches between samples.

A ``Meter`` takes a sound block by block and keeps only a number for each tenth of a second.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from solowright.sound.filters import Equaliser, from_sections, rise_between
from solowright.sound.string import SAMPLE_RATE, Samples

# BS.1770-4, tables 1 and 2, at 48 kHz: a head's shelf, and a highpass.
_WEIGHTING = (
    [1.53512485958697, -2.69169618940638, 1.19839281085285, -1.69065929318241, 0.73248077421585],
    [1.0, -2.0, 1.0, -1.99004745483398, 0.99007225036621],
)
_HOP = SAMPLE_RATE // 10  # blocks of 0.4 s, three quarters of each shared with the next
_SILENT, _RELATIVE = -70.0, -10.0  # gates in LUFS and LU
_BLOCK, _MARGIN = 2048, 32


@dataclass(slots=True)
class Meter:
    """Loudness of all that went in since it was made."""

    weighting: Equaliser = field(default_factory=lambda: from_sections(list(_WEIGHTING)))
    energies: list[float] = field(default_factory=list)
    rest: Samples = field(default_factory=lambda: np.zeros(0, np.float32))

    def add(self, sound: Samples) -> None:
        """Takes the next block in."""
        heard = np.concatenate([self.rest, self.weighting.run(sound)])
        whole = len(heard) // _HOP * _HOP
        squares = heard[:whole].astype(np.float64).reshape(-1, _HOP) ** 2
        self.energies += squares.mean(axis=1).tolist()
        self.rest = heard[whole:]

    def loudness(self) -> float:
        """Integrated loudness in LUFS; minus infinity for silence and for less than 0.4 s."""
        if len(self.energies) < 4:
            return float("-inf")
        blocks = np.convolve(self.energies, np.full(4, 0.25), "valid")
        loud = blocks[blocks > 10 ** ((_SILENT + 0.691) / 10)]
        if not len(loud):
            return float("-inf")
        loud = loud[loud > loud.mean() * 10 ** (_RELATIVE / 10)]
        return float(-0.691 + 10 * np.log10(loud.mean()))


def loudness(sound: Samples) -> float:
    """Integrated loudness in LUFS; minus infinity for silence and for less than 0.4 s."""
    meter = Meter()
    meter.add(sound)
    return meter.loudness()


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
    return max(peak, rise_between(pieces[peaks > 0.8 * peak]))
