"""A drum kit and a click, each piece synthesised once: falling sines for skins, noise and clustered
partials for metal. Shapes are from memory, no source; noise comes from one seed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from math import pi

import numpy as np
from numpy.typing import NDArray

from solowright.sound.blocks import lay_out
from solowright.sound.drums import DrumStroke
from solowright.sound.excerpt import Excerpt
from solowright.sound.filters import equalise
from solowright.sound.string import SAMPLE_RATE, Samples

ROOM = np.float32(0.8)  # the kit's loudest
_KIT_SEED = 20


def drum_blocks(
    strokes: tuple[DrumStroke, ...], excerpt: Excerpt, cuts: Sequence[int]
) -> Iterator[Samples]:
    """The drums' part, block by block."""
    kit = _make_kit()
    events = [
        (excerpt.sample(stroke.onset), partial(_at, stroke.level, kit[stroke.piece])) for stroke in strokes
    ]
    for block in lay_out(events, cuts):
        yield ROOM * np.tanh(block / ROOM)  # pieces struck together don't pile up


def click_blocks(excerpt: Excerpt, cuts: Sequence[int]) -> Iterator[Samples]:
    """The click: a short wooden tick a beat, higher on every "one"."""
    t = _seconds(0.06)
    ticks = {
        one: ((1.0 if one else 0.8) * np.sin(2 * pi * hertz * t) * np.exp(-t / 0.008)).astype(np.float32)
        for one, hertz in ((True, 1760), (False, 1320))
    }
    beats = [(round(seconds * SAMPLE_RATE), one) for seconds, one in excerpt.clicks]
    return lay_out([(sample, partial(_at, 1.0, ticks[one])) for sample, one in beats], cuts)


def _at(level: float, sound: Samples) -> Samples:
    return np.float32(level) * sound


def _make_kit() -> dict[str, Samples]:
    noise = np.random.default_rng(_KIT_SEED)
    return {
        "kick": _skin(0.35, 130, 48, 0.03, 0.11) + 0.15 * _hiss(noise, 0.35, 0.004, 1500, 5000),
        "tom": 0.9 * _skin(0.4, 170, 110, 0.05, 0.13) + 0.12 * _hiss(noise, 0.4, 0.02, 800, 4000),
        "snare": 0.5 * _skin(0.3, 240, 185, 0.02, 0.06) + 1.1 * _hiss(noise, 0.3, 0.065, 700, 9000),
        "hat": 0.40 * _metal(noise, 0.12, 0.022, 5200, 14000),
        "ride": 0.28 * _metal(noise, 1.4, 0.32, 3000, 9000) + 0.16 * _ping(1.4),
        "rim": 0.5 * _ended(np.sin(2 * pi * 1750 * _seconds(0.05)) * np.exp(-_seconds(0.05) / 0.006))
        + 0.4 * _hiss(noise, 0.05, 0.005, 1200, 7000),
        "crash": 0.65 * _metal(noise, 2.2, 0.5, 2200, 12000),
    }


def _seconds(length: float) -> NDArray[np.float64]:
    return np.arange(round(length * SAMPLE_RATE)) / SAMPLE_RATE


def _skin(length: float, high: float, low: float, drop: float, decay: float) -> Samples:
    """A sine that falls from ``high`` to ``low`` hertz in about ``drop`` seconds and dies away."""
    t = _seconds(length)
    turns = low * t + (high - low) * drop * (1 - np.exp(-t / drop))
    return _ended(np.sin(2 * pi * turns) * np.exp(-t / decay))


def _hiss(noise: np.random.Generator, length: float, decay: float, low: float, high: float) -> Samples:
    """Noise between two frequencies that dies away."""
    t = _seconds(length)
    white = (noise.standard_normal(len(t)) * 0.35).astype(np.float32)
    band = equalise(white, (("highpass", low, 0.0, 0.7), ("lowpass", high, 0.0, 0.7)))
    return _ended(band * np.exp(-t / decay))


def _metal(noise: np.random.Generator, length: float, decay: float, low: float, high: float) -> Samples:
    """A cymbal: a hundred partials at unrelated pitches over hiss, gone the sooner the higher."""
    t = _seconds(length)
    sound = 0.5 * _hiss(noise, length, decay, low, high).astype(np.float64)
    for hertz in noise.uniform(low, high, 60):
        fading = decay * (low / hertz) ** 0.5
        sound += 0.05 * np.sin(2 * pi * hertz * t + noise.uniform(0, 2 * pi)) * np.exp(-t / fading)
    return _ended(sound)


def _ping(length: float) -> Samples:
    """The stick on the ride's bow."""
    t = _seconds(length)
    tones = sum(np.sin(2 * pi * hertz * t) for hertz in (2710.0, 3530.0, 4890.0))
    return _ended(tones * np.exp(-t / 0.09) / 3)


def _ended(sound: NDArray[np.floating]) -> Samples:
    """The sound with a soft first half millisecond and its end faded to nothing, no DC."""
    rise, fall = SAMPLE_RATE // 2000, round(0.02 * SAMPLE_RATE)
    shaped = np.array(sound, np.float64)
    shaped[:rise] *= np.linspace(0, 1, rise)
    shaped[-fall:] *= np.linspace(1, 0, fall)
    return equalise(shaped.astype(np.float32), (("highpass", 35.0, 0.0, 0.7),))
