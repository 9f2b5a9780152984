"""From pickup to loudspeaker: coil, gain, cabinet.

The gain is a soft clipper, tanh, run at twice the sample rate with first-order antiderivative
antialiasing, so that what it adds above half the sample rate does not fold back into the notes.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import signal

from solowright.sound.string import SAMPLE_RATE, Samples

MILD_GAIN = 20.0  # dB; slurred notes then speak within 6 dB of picked ones and double stops stay clear
KNEE = 10.0  # dB of gain at which a picked note's peak reaches the bend of the curve
OVERSAMPLING = 2

# (kind, hertz, gain in dB, Q). Figures from memory, rounded: a coil loaded by its cable, and a
# twelve-inch speaker in an open cabinet.
COIL = (("lowpass", 4200.0, 0.0, 1.3),)
CABINET = (
    ("highpass", 75.0, 0.0, 0.8),
    ("peak", 130.0, 2.0, 1.0),
    ("peak", 450.0, -2.5, 0.8),
    ("peak", 2600.0, 4.0, 1.2),
    ("lowpass", 4800.0, 0.0, 0.9),
    ("lowpass", 6000.0, 0.0, 0.7),
)
BEFORE_GAIN = (("highpass", 110.0, 0.0, 0.7),)

_BLOCK = 1 << 20


def amplify(pickup: Samples, gain: float = MILD_GAIN) -> Samples:
    """The guitar as the room hears it, from the pickup's signal; ``gain`` in dB."""
    driven = equalise(pickup, COIL + BEFORE_GAIN)
    return equalise(_clip(driven, 10 ** ((gain - KNEE) / 20)), CABINET)


def equalise(sound: Samples, bands: tuple[tuple[str, float, float, float], ...]) -> Samples:
    """Second-order filters in series, each (kind, hertz, dB, Q)."""
    sections = np.array([_section(*band) for band in bands])
    return signal.sosfilt(sections, sound).astype(np.float32)


def _section(kind: str, hertz: float, level: float, q: float) -> list[float]:
    """One biquad by the formulas of R. Bristow-Johnson's Audio EQ Cookbook."""
    w = 2 * np.pi * hertz / SAMPLE_RATE
    alpha, c = np.sin(w) / (2 * q), np.cos(w)
    if kind == "peak":
        amp = 10 ** (level / 40)
        b = [1 + alpha * amp, -2 * c, 1 - alpha * amp]
        a = [1 + alpha / amp, -2 * c, 1 - alpha / amp]
    else:
        side = (1 - c) if kind == "lowpass" else (1 + c)
        b = [side / 2, side if kind == "lowpass" else -side, side / 2]
        a = [1 + alpha, -2 * c, 1 - alpha]
    return [value / a[0] for value in b + a]


def _clip(sound: Samples, gain: float) -> Samples:
    """tanh(gain × sound), oversampled, in blocks that overlap by more than the filters reach."""
    reach = 256
    out = np.empty_like(sound)
    for start in range(0, len(sound), _BLOCK):
        before = min(start, reach)
        piece = sound[start - before : start + _BLOCK + reach].astype(np.float64)
        fast = signal.resample_poly(piece, OVERSAMPLING, 1)
        slow = signal.resample_poly(antialiased_tanh(gain * fast), 1, OVERSAMPLING)
        end = min(_BLOCK, len(sound) - start)
        out[start : start + end] = slow[before : before + end]
    return out


def antialiased_tanh(x: NDArray[np.float64]) -> NDArray[np.float64]:
    """tanh averaged over each step from sample to sample: Δ log cosh x / Δx (Parker et al. 2016)."""
    size = np.abs(x)
    integral = size + np.log1p(np.exp(-2 * size))  # log cosh, short of a constant
    step = np.diff(x, prepend=x[:1])
    middle = np.tanh(x - step / 2)
    small = np.abs(step) < 1e-4  # there the quotient loses its digits, and the middle is as good
    quotient = np.diff(integral, prepend=integral[:1]) / np.where(small, 1.0, step)
    return np.where(small, middle, quotient)
