"""Filters that go on from block to block: equalisers, the amplifier's bend, and what keeps both clean.

A clipper makes partials without end. It runs at four times the sample rate, and each of its samples is
the mean of the curve over the step from the sample before (antiderivative antialiasing, Parker et al.
2016), so that what would fold back into the notes is gone before it can.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from solowright.sound.string import SAMPLE_RATE, Samples, jit

Band = tuple[str, float, float, float]  # kind (highpass, lowpass, peak, low, high), hertz, dB, Q
Array = NDArray[np.float64]

OVERSAMPLING = 4
_REACH = 24  # samples from the middle of the resampling filter to its ends, both ways together
LATENCY = _REACH  # samples by which the clipper is late
_STOP_BETA = 9.0  # Kaiser window: 90 dB


@dataclass(slots=True)
class Equaliser:
    """Second-order sections in series, and where each stands."""

    sections: Array
    memory: Array

    def run(self, sound: Samples) -> Samples:
        """The next block, filtered."""
        out = np.empty(len(sound), np.float32)
        _sections(sound, self.sections, self.memory, out)
        return out


def equaliser(bands: tuple[Band, ...]) -> Equaliser:
    """An equaliser at rest, by the formulas of R. Bristow-Johnson's Audio EQ Cookbook."""
    return from_sections([_section(*band) for band in bands])


def from_sections(sections: list[list[float]]) -> Equaliser:
    """An equaliser at rest from rows of b0 b1 b2 a1 a2."""
    return Equaliser(np.array(sections).reshape(-1, 5), np.zeros((len(sections), 2)))


def equalise(sound: Samples, bands: tuple[Band, ...]) -> Samples:
    """A whole sound through an equaliser."""
    return equaliser(bands).run(sound)


def _section(kind: str, hertz: float, level: float, q: float) -> list[float]:
    w = 2 * np.pi * hertz / SAMPLE_RATE
    alpha, c, amp = np.sin(w) / (2 * q), np.cos(w), 10 ** (level / 40)
    if kind == "peak":
        b = [1 + alpha * amp, -2 * c, 1 - alpha * amp]
        a = [1 + alpha / amp, -2 * c, 1 - alpha / amp]
    elif kind in ("low", "high"):  # shelves
        side, root = (1 if kind == "low" else -1), 2 * np.sqrt(amp) * alpha
        up, down = amp + 1, amp - 1
        b = [amp * (up - side * down * c + root), 2 * side * amp * (down - side * up * c)]
        b.append(amp * (up - side * down * c - root))
        a = [up + side * down * c + root, -2 * side * (down + side * up * c), up + side * down * c - root]
    else:
        edge = (1 - c) if kind == "lowpass" else (1 + c)
        b = [edge / 2, edge if kind == "lowpass" else -edge, edge / 2]
        a = [1 + alpha, -2 * c, 1 - alpha]
    return [value / a[0] for value in (*b, *a[1:])]


def _lowpass() -> Array:
    """The filter on the way up and down: flat to 18 kHz, gone from 30 kHz, so nothing folds under 18."""
    length = OVERSAMPLING * _REACH + 1
    n = np.arange(length) - (length - 1) / 2
    taps = np.sinc(n / OVERSAMPLING) * np.kaiser(length, _STOP_BETA)
    return np.asarray(taps / taps.sum())


_LOWPASS = _lowpass()
# Row p makes the pth sample in between; taps run from the oldest sample to the newest.
_PHASES = np.array(
    [
        OVERSAMPLING * np.pad(_LOWPASS[p::OVERSAMPLING], (0, _REACH + 1))[: _REACH + 1][::-1]
        for p in range(OVERSAMPLING)
    ]
)


@dataclass(slots=True)
class Clipper:
    """tanh(gain × sound), free of aliases; ``LATENCY`` samples late."""

    gain: float
    before: Array = field(default_factory=lambda: np.zeros(_REACH))
    fast_before: Array = field(default_factory=lambda: np.zeros(OVERSAMPLING * _REACH))
    last: Array = field(default_factory=lambda: np.zeros(1))

    def run(self, sound: Samples) -> Samples:
        """The next block, clipped."""
        padded = np.concatenate([self.before, sound])
        fast = np.empty(len(self.fast_before) + OVERSAMPLING * len(sound))
        fast[: len(self.fast_before)] = self.fast_before
        out = np.empty(len(sound), np.float32)
        _clip(padded, self.gain, _PHASES, _LOWPASS, self.last, fast, out)
        self.before, self.fast_before = padded[-_REACH:], fast[-len(self.fast_before) :].copy()
        return out


def rise_between(pieces: Samples) -> float:
    """The highest absolute value of rows of samples at four times their rate; ends are left out."""
    return float(_highest_between(np.ascontiguousarray(pieces, np.float64), _PHASES))


@jit
def _sections(sound, sections, memory, out):  # type: ignore[no-untyped-def]
    for n in range(len(sound)):
        x = np.float64(sound[n])
        for s in range(len(sections)):
            y = sections[s, 0] * x + memory[s, 0]
            first = sections[s, 1] * x - sections[s, 3] * y + memory[s, 1]
            second = sections[s, 2] * x - sections[s, 4] * y
            # Numbers too small for the processor's quick way are silence.
            memory[s, 0] = first if abs(first) > 1e-25 else 0.0
            memory[s, 1] = second if abs(second) > 1e-25 else 0.0
            x = y
        out[n] = x


@jit
def _clip(padded, gain, phases, lowpass, last, fast, out):  # type: ignore[no-untyped-def]
    over, taps = phases.shape
    reach = len(lowpass) - 1
    x0 = last[0]
    f0 = abs(x0) + np.log1p(np.exp(-2 * abs(x0)))  # log cosh, short of a constant
    for n in range(len(out)):
        for p in range(over):
            total = 0.0
            for k in range(taps):
                total += phases[p, k] * padded[n + k]
            x = gain * total
            f = abs(x) + np.log1p(np.exp(-2 * abs(x)))
            step = x - x0
            # Over a small step the quotient loses its digits, and the middle is as good.
            fast[reach + n * over + p] = np.tanh(x - step / 2) if abs(step) < 1e-4 else (f - f0) / step
            x0, f0 = x, f
    last[0] = x0
    for n in range(len(out)):
        total = 0.0
        for k in range(reach + 1):
            total += lowpass[k] * fast[n * over + k]
        out[n] = total


@jit
def _highest_between(pieces, phases):  # type: ignore[no-untyped-def]
    over, taps = phases.shape
    highest = 0.0
    for row in range(pieces.shape[0]):
        for n in range(pieces.shape[1] - taps + 1):
            for p in range(over):
                total = 0.0
                for k in range(taps):
                    total += phases[p, k] * pieces[row, n + k]
                highest = max(highest, abs(total))
    return highest


