"""A vibrating string as a digital waveguide: what a string does between two instants.

One delay loop a string (Karplus & Strong 1983; Jaffe & Smith 1983; Smith, Physical Audio Signal
Processing): a fractional delay tunes it, a one-pole lowpass in the loop damps it, four first-order
allpasses make it stiff. Every one of these moves along straight lines between knots, so a string is
retuned, bent, slid and damped while it sounds and never clicks.

Units: samples of delay, hertz, seconds. The signal is the velocity of the string's travelling wave.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from math import atan2, cos, exp, log, pi, sin, sqrt
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray

from solowright.music.pitch import A4_HZ

Samples = NDArray[np.float32]
Filters = tuple[float, float, float, float]  # delay in samples, gain, pole, allpass coefficient

SAMPLE_RATE = 48_000  # what Opus needs and most browsers run at
DECAY = log(1000.0)  # a fall of 60 dB, in nepers
TREBLE_HZ = 3000.0  # where the second decay time of a string is given
ALLPASSES = 4
_BUFFER = 4096
_ECHO = 1024  # samples; a pickup hears no echo later
_LEAST_DELAY = 8.0  # samples; the interpolator needs six neighbours


@dataclass(frozen=True, slots=True)
class Loop:
    """The filters of one string stopped at one place: decay a second (60 dB) of its low partials and
    of those at ``TREBLE_HZ``, and its inharmonicity B, f_k = k f0 √(1 + B k²)."""

    decay: float
    treble_decay: float
    stiffness: float = 0.0

    def filters(self, hertz: float, stopped: float | None = None) -> Filters:
        """What makes the loop sound ``hertz``; ``stopped`` is the pitch it is stopped at, if another.

        The filters' own delay at that frequency is taken off, so tuning is exact at the fundamental.
        """
        allpass = _stiff_allpass(stopped or hertz, self.stiffness)
        gain = exp(-DECAY / (hertz * self.decay))
        # Beyond the low partials' loss, the pole must add this many nepers a round trip at TREBLE_HZ.
        extra = max(0.0, DECAY / self.treble_decay - DECAY / self.decay) / hertz
        pole = _lowpass_pole(extra)
        lag = _pole_delay(pole, hertz) + ALLPASSES * _allpass_delay(allpass, hertz)
        return max(_LEAST_DELAY, SAMPLE_RATE / hertz - lag), gain, pole, allpass


def _lowpass_pole(nepers: float) -> float:
    """The pole p of (1 − p)/(1 − p z⁻¹) that loses ``nepers`` at TREBLE_HZ (solved exactly)."""
    power = exp(-2.0 * nepers)  # |H|² = (1−p)² / (1 − 2p cos ω + p²)
    if power > 1.0 - 1e-12:
        return 0.0
    middle = (1.0 - power * cos(2 * pi * TREBLE_HZ / SAMPLE_RATE)) / (1.0 - power)
    return middle - sqrt(middle * middle - 1.0)


def _pole_delay(pole: float, hertz: float) -> float:
    """Phase delay of the loop's lowpass in samples."""
    w = 2 * pi * hertz / SAMPLE_RATE
    return atan2(pole * sin(w), 1 - pole * cos(w)) / w


def _allpass_delay(coefficient: float, hertz: float) -> float:
    """Phase delay of (c + z⁻¹)/(1 + c z⁻¹) in samples."""
    w = 2 * pi * hertz / SAMPLE_RATE
    return 1.0 - 2.0 * atan2(coefficient * sin(w), 1 + coefficient * cos(w)) / w


@lru_cache(1024)
def _stiff_allpass(hertz: float, stiffness: float) -> float:
    """The allpass coefficient that puts a middle partial where a stiff string has it.

    Partial k of a stiff string needs a loop delay of k-th partial's k periods, less than the
    fundamental's; the coefficient is found by bisection, since the delay only falls with it.
    """
    if stiffness <= 0.0:
        return 0.0
    partial = max(2, int(min(2000.0, 8 * hertz) / hertz))
    first = sqrt(1 + stiffness)
    sharp = partial * hertz * sqrt(1 + stiffness * partial * partial) / first
    wanted = SAMPLE_RATE / hertz - SAMPLE_RATE * partial / sharp
    low, high = -0.95, 0.0
    for _ in range(40):
        middle = (low + high) / 2
        found = ALLPASSES * (_allpass_delay(middle, hertz) - _allpass_delay(middle, sharp))
        if found > wanted:
            low = middle
        else:
            high = middle
    # A very short loop has no room for much dispersion: leave it two thirds of its length.
    roomy = (1 - SAMPLE_RATE / hertz / 12) / (1 + SAMPLE_RATE / hertz / 12)
    return max((low + high) / 2, min(0.0, roomy))


@dataclass(slots=True)
class Motion:
    """How one string's loop moves: knots in time order, straight lines between them.

    A knot with gain 0 stops the string: it is silent from there to the next knot.
    """

    times: list[int]
    values: list[Filters]

    def add(self, time: int, filters: Filters) -> None:
        """Appends a knot; one that would lie before the last is moved up to it."""
        self.times.append(max(time, self.times[-1] if self.times else 0))
        self.values.append(filters)

    @property
    def last(self) -> Filters:
        """The filters at the last knot."""
        return self.values[-1]


class Running:
    """A string in motion: what is on it and how far it has come, so that it goes on block by block."""

    def __init__(self, motion: Motion) -> None:
        self._times = np.array(motion.times, np.int64)
        self._values = np.array(motion.values, np.float64).reshape(-1, 4)
        self._buffer, self._state = np.zeros(_BUFFER), np.zeros(ALLPASSES + 2)
        self._begin = 0

    def run(self, drive: Samples) -> Samples:
        """What the string sounds like over the next samples, driven by ``drive``."""
        out = np.zeros(len(drive), np.float32)
        if len(self._times):
            _run(self._times, self._values, drive, self._begin, self._buffer, self._state, out)
        self._begin += len(drive)
        return out


def run_string(motion: Motion, drive: Samples) -> Samples:
    """What a string sounds like, driven by ``drive``: as many samples as the drive has."""
    return Running(motion).run(drive)


def pluck(hertz: float, place: float, contact_ms: float) -> Samples:
    """The velocity that a pluck at ``place`` (0 to 1 of the length) puts in: one period, no DC.

    A pick leaves a kink, so the velocity starts as a rectangle: partial k is as strong as
    |sin(kπ place)|/k. ``contact_ms`` is how long the rectangle's edges take.
    """
    period = SAMPLE_RATE / hertz
    # Whole samples: then the sampled edges are exactly balanced, however short they are.
    edge = max(2, round(min(contact_ms * SAMPLE_RATE / 1000, 0.9 * period * min(place, 1 - place))))
    n = np.arange(int(period + edge) + 2, dtype=np.float64)

    def step(at: float) -> NDArray[np.float64]:
        t = np.clip((n - at) / edge, 0.0, 1.0)
        return t - np.sin(2 * pi * t) / (2 * pi)

    shape = (1 - place) * step(0.0) - step(place * period) + place * step(period)
    return shape.astype(np.float32)


@dataclass(slots=True)
class Hearing:
    """A pickup over a string, block by block; see ``hear``."""

    place: float
    open_hertz: float
    before: Samples = field(default_factory=lambda: np.zeros(_ECHO, np.float32))

    def run(self, velocity: Samples) -> Samples:
        """The next block as the pickup feels it."""
        padded = np.concatenate([self.before, velocity])
        self.before = padded[-_ECHO:]
        return hear(padded, self.place, self.open_hertz)[_ECHO:]


def hear(velocity: Samples, place: float, open_hertz: float) -> Samples:
    """A string through a pickup at ``place`` (distance from the bridge over the open length).

    The pickup feels the wave that passes it and its echo from the bridge, inverted: partial k by
    |sin(kπ d/L)|. The echo's way is the same wherever the string is fretted.
    """
    return velocity - fractional_delay(velocity, place * SAMPLE_RATE / open_hertz)


def add_at(sound: Samples, start: int, shape: Samples) -> None:
    """Adds ``shape`` into ``sound`` from sample ``start``; what would lie past the end is dropped."""
    room = max(0, min(len(shape), len(sound) - start))
    sound[start : start + room] += shape[:room]


def midi_hertz(midi: float) -> float:
    """Equal temperament on A4 = 440 Hz (ISO 16:1975); parts of a semitone too."""
    return A4_HZ * float(2.0 ** ((midi - 69) / 12))


def jit(function: Any) -> Any:
    """numba's compiler with its disk cache, and without it where no cache folder can be written."""
    try:
        return njit(cache=True, fastmath=True)(function)
    except RuntimeError:
        return njit(fastmath=True)(function)


@jit
def _run(times, values, drive, begin, buffer, state, out):  # type: ignore[no-untyped-def]
    taps = np.zeros(6)
    memory = state[:ALLPASSES]
    mask = _BUFFER - 1
    low, write = state[ALLPASSES], int(state[ALLPASSES + 1])
    end = begin + len(drive)
    for row in range(max(0, np.searchsorted(times, begin, side="right") - 1), len(times)):
        start = max(times[row], begin)
        stop = min(times[row + 1], end) if row + 1 < len(times) else end
        if start >= end:
            break
        if stop <= start:
            continue
        delay, gain, pole, allpass = values[row]
        if gain == 0.0:
            buffer[:] = 0.0
            memory[:] = 0.0
            low = 0.0
            continue
        following = row + 1 if row + 1 < len(times) and values[row + 1, 1] != 0.0 else row
        step = np.zeros(4)
        if following > row:
            step = (values[following] - values[row]) / (times[following] - times[row])
        done = start - times[row]
        delay, gain = delay + done * step[0], gain + done * step[1]
        pole, allpass = pole + done * step[2], allpass + done * step[3]
        whole = -1
        for n in range(start - begin, stop - begin):
            if whole < 0 or step[0] != 0.0:
                whole = int(delay) - 2
                _lagrange(delay - whole, taps)
            heard = 0.0
            for tap in range(6):
                heard += taps[tap] * buffer[(write - whole - tap) & mask]
            low = gain * (1.0 - pole) * heard + pole * low
            x = low
            for stage in range(ALLPASSES):  # one multiplier each: y = x₁ + c (x − y₁)
                y = memory[stage] + allpass * x
                memory[stage] = x - allpass * y
                x = y
            x += drive[n]
            buffer[write & mask] = x
            write += 1
            out[n] = x
            delay += step[0]
            gain += step[1]
            pole += step[2]
            allpass += step[3]
    state[ALLPASSES], state[ALLPASSES + 1] = low, write & mask


@jit
def _lagrange(delay, taps):  # type: ignore[no-untyped-def]
    """Fifth-order Lagrange weights of six neighbours for a delay of 2 to 3 samples."""
    for k in range(6):
        weight = 1.0
        for j in range(6):
            if j != k:
                weight *= (delay - j) / (k - j)
        taps[k] = weight


def fractional_delay(signal: Samples, delay: float) -> Samples:
    """``signal`` later by ``delay`` samples (at least 2), same length; fifth-order Lagrange."""
    whole = int(delay) - 2
    taps = np.zeros(6)
    _lagrange(delay - whole, taps)
    delayed = np.convolve(signal, taps.astype(np.float32))
    return np.concatenate([np.zeros(whole, np.float32), delayed])[: len(signal)]
