"""Two plain voices built of sine partials: an electric piano for the comping, a brass section.

A partial is a sine that dies away by itself (piano) or is held (brass); each pitch is made once and
cut to every note that plays it. Shapes are from memory, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from math import pi

import numpy as np

from solowright.sound.band import BandNote
from solowright.sound.excerpt import Excerpt
from solowright.sound.string import SAMPLE_RATE, Samples, add_at, midi_hertz

# An electric piano's partials: (ratio to the fundamental, level, seconds to fall 60 dB).
TINE = ((1.0, 1.0, 2.6), (2.0, 0.28, 1.4), (3.0, 0.10, 0.8), (4.0, 0.04, 0.5), (7.1, 0.06, 0.12))
_HIGHEST = 9000.0  # hertz; no partial above
_ATTACK, _RELEASE = round(0.003 * SAMPLE_RATE), round(0.06 * SAMPLE_RATE)


def sound_piano(notes: tuple[BandNote, ...], excerpt: Excerpt) -> Samples:
    """The comping on an electric piano."""
    return _play(notes, excerpt, _piano)


def sound_brass(notes: tuple[BandNote, ...], excerpt: Excerpt) -> Samples:
    """The answers on held brass."""
    return _play(notes, excerpt, _brass)


def _piano(hertz: float, length: int) -> Samples:
    """A struck tine: a strong fundamental, a few softer partials, and a bell that is gone at once."""
    t = np.arange(length, dtype=np.float32) / SAMPLE_RATE
    sound = np.zeros(length, np.float32)
    for ratio, level, seconds in TINE:
        if ratio * hertz < _HIGHEST:
            wave = np.sin(np.float32(2 * pi * ratio * hertz) * t)
            sound += np.float32(level) * np.exp(-6.9 / seconds * t) * wave
    return sound


def _brass(hertz: float, length: int) -> Samples:
    """Partials that enter the later the higher they are, as a brass tone brightens when it speaks."""
    t = np.arange(length, dtype=np.float32) / SAMPLE_RATE
    sound = np.zeros(length, np.float32)
    for k in range(1, 13):
        if k * hertz < _HIGHEST:
            speaks = 1 - np.exp(-t / np.float32(0.012 + 0.004 * k))
            sound += speaks * np.sin(np.float32(2 * pi * k * hertz) * t) / np.float32(k ** (1 + hertz / 1500))
    return np.float32(0.5) * sound


def _play(notes: tuple[BandNote, ...], excerpt: Excerpt, make: Callable[[float, int], Samples]) -> Samples:
    out = np.zeros(excerpt.length, np.float32)
    spans = []
    for note in notes:
        stop = excerpt.ring_out if note.end == excerpt.tune.chart.length else excerpt.sample(note.end)
        spans.append((excerpt.sample(note.onset), stop))
    longest: dict[int, int] = {}
    for note, (start, stop) in zip(notes, spans, strict=True):
        longest[note.midi] = max(longest.get(note.midi, 0), stop - start + _RELEASE)
    made = {midi: make(midi_hertz(midi), length) for midi, length in longest.items()}
    rise = np.sin(np.linspace(0, pi / 2, _ATTACK, dtype=np.float32)) ** 2
    fall = np.cos(np.linspace(0, pi / 2, _RELEASE, dtype=np.float32)) ** 2
    for note, (start, stop) in zip(notes, spans, strict=True):
        shape = np.float32(note.level) * made[note.midi][: stop - start + _RELEASE]
        shape[:_ATTACK] *= rise[: len(shape)]
        shape[-_RELEASE:] *= fall
        add_at(out, start, shape)
    return out
