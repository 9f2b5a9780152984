"""Two plain voices built of sine partials: an electric piano for the comping, a brass section.

A partial is a sine that dies away by itself (piano) or is held (brass); each pitch is made once and
cut to every note that plays it. Shapes are from memory, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from itertools import pairwise
from math import pi

import numpy as np

from solowright.sound.band import BandNote
from solowright.sound.blocks import Event, lay_out
from solowright.sound.excerpt import Excerpt
from solowright.sound.string import SAMPLE_RATE, Samples, midi_hertz

# An electric piano's partials: (ratio to the fundamental, level, seconds to fall 60 dB).
TINE = ((1.0, 1.0, 2.6), (2.0, 0.28, 1.4), (3.0, 0.10, 0.8), (4.0, 0.04, 0.5), (7.1, 0.06, 0.12))
_HIGHEST = 9000.0  # hertz; no partial above
_ATTACK, _RELEASE = round(0.003 * SAMPLE_RATE), round(0.06 * SAMPLE_RATE)
_RISE = np.sin(np.linspace(0, pi / 2, _ATTACK, dtype=np.float32)) ** 2
_FALL = np.cos(np.linspace(0, pi / 2, _RELEASE, dtype=np.float32)) ** 2
DRONE = ((1, 1.0), (2, 0.4), (3, 0.2), (4, 0.08))  # partials and their levels
DRONE_RISE = 0.5  # seconds


def piano_blocks(notes: tuple[BandNote, ...], excerpt: Excerpt, cuts: Sequence[int]) -> Iterator[Samples]:
    """The comping on an electric piano, block by block."""
    return lay_out(_events(notes, excerpt, _piano), cuts)


def brass_blocks(notes: tuple[BandNote, ...], excerpt: Excerpt, cuts: Sequence[int]) -> Iterator[Samples]:
    """The answers on held brass, block by block."""
    return lay_out(_events(notes, excerpt, _brass), cuts)


def drone_blocks(midis: tuple[int, ...], excerpt: Excerpt, cuts: Sequence[int]) -> Iterator[Samples]:
    """Pitches held from the first bar to the end, each a few quiet partials, to tune an ear by."""
    begin = excerpt.sample(excerpt.start)
    for start, stop in pairwise(cuts):
        t = np.arange(start - begin, stop - begin) / SAMPLE_RATE
        block = np.zeros(stop - start)
        for midi in midis:
            for k, level in DRONE:
                block += level * np.sin(2 * pi * k * midi_hertz(midi) * t)
        yield (block * np.clip(t / DRONE_RISE, 0.0, 1.0)).astype(np.float32)


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


def _events(
    notes: tuple[BandNote, ...], excerpt: Excerpt, make: Callable[[float, int], Samples]
) -> list[Event]:
    spans = []
    for note in notes:
        stop = excerpt.ring_out if note.end == excerpt.tune.chart.length else excerpt.sample(note.end)
        spans.append((excerpt.sample(note.onset), stop))
    longest: dict[int, int] = {}
    for note, (start, stop) in zip(notes, spans, strict=True):
        longest[note.midi] = max(longest.get(note.midi, 0), stop - start + _RELEASE)
    made = {midi: make(midi_hertz(midi), length) for midi, length in longest.items()}
    return [
        (start, partial(_shaped, note.level, made[note.midi], stop - start + _RELEASE))
        for note, (start, stop) in zip(notes, spans, strict=True)
    ]


def _shaped(level: float, whole: Samples, length: int) -> Samples:
    """The first ``length`` samples of a tone, with its ends rounded."""
    shape = np.float32(level) * whole[:length]
    shape[:_ATTACK] *= _RISE[: len(shape)]
    shape[-_RELEASE:] *= _FALL
    return shape
