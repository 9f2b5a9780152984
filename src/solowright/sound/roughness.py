"""How rough a sound is: the beating of its partials against each other.

Model: Plomp & Levelt's curve in Sethares' form (JASA 94(3), 1993; constants from memory), summed over all
pairs of partials that a spectrum shows, over the energy of them all. It has no unit: compare two sounds.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from solowright.sound.string import SAMPLE_RATE, Samples

FAST, SLOW = 3.5, 5.75  # how the curve rises and falls
MOST_AT, NARROW, WIDE = 0.24, 0.021, 19.0  # where it is highest, by the lower partial's hertz
HIGHEST_HZ, FLOOR_DB, MOST_PARTIALS = 6000.0, -60.0, 80
BEGIN, LENGTH = 0.1, 0.5  # seconds of the sound that are looked at


def roughness(sound: Samples) -> float:
    """Roughness of half a second of a held sound, from a tenth of a second on."""
    hertz, level = _partials(sound[round(BEGIN * SAMPLE_RATE) :][: round(LENGTH * SAMPLE_RATE)])
    if len(hertz) < 2:
        return 0.0
    low, high = np.triu_indices(len(hertz), 1)
    apart = (hertz[high] - hertz[low]) * MOST_AT / (NARROW * hertz[low] + WIDE)
    beating = np.minimum(level[low], level[high]) * (np.exp(-FAST * apart) - np.exp(-SLOW * apart))
    return float(beating.sum() / np.sqrt((level**2).sum()))


def _partials(sound: Samples) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Hertz and amplitude of the spectrum's peaks, rising."""
    size = 1 << 17
    spectrum = np.abs(np.fft.rfft(sound.astype(np.float64) * np.blackman(len(sound)), size))
    spectrum = spectrum[: round(HIGHEST_HZ * size / SAMPLE_RATE)]
    reach = 4 * size // len(sound)  # a Blackman peak's half width
    around = np.lib.stride_tricks.sliding_window_view(np.pad(spectrum, reach), 2 * reach + 1).max(axis=1)
    tops = np.flatnonzero((spectrum == around) & (spectrum > spectrum.max() * 10 ** (FLOOR_DB / 20)))
    tops = np.sort(tops[np.argsort(spectrum[tops])][-MOST_PARTIALS:])
    return tops * SAMPLE_RATE / size, spectrum[tops]
