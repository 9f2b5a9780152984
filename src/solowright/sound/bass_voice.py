"""The bass as it sounds: four plucked strings, each note stopped by the hand that plays the next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import pairwise

import numpy as np

from solowright.sound.band import BandNote
from solowright.sound.blocks import Event, lay_out
from solowright.sound.excerpt import Excerpt
from solowright.sound.string import (
    SAMPLE_RATE,
    Hearing,
    Loop,
    Motion,
    Running,
    Samples,
    midi_hertz,
    pluck,
)

STRINGS = (43, 38, 33, 28)  # G2 D2 A1 E1
# From memory of a worn set of strings.
SOUNDING, STOPPED, DEADENED = Loop(4.5, 0.6, 5e-5), Loop(0.08, 0.03, 5e-5), Loop(0.1, 0.05, 5e-5)
FINGER_PLACE, FINGER_MS, PICKUP_SHARE = 0.22, 0.8, 0.13
TOUCH = round(0.006 * SAMPLE_RATE)  # the finger is on the string this long before it plucks
LIFT = round(0.02 * SAMPLE_RATE)
SILENT_AFTER = round(0.25 * SAMPLE_RATE)


def bass_blocks(notes: tuple[BandNote, ...], excerpt: Excerpt, cuts: Sequence[int]) -> Iterator[Samples]:
    """The part on four strings, block by block: plucked by fingers, each note stopped where the next
    begins."""
    strings = [min((s for s in STRINGS if s <= note.midi), key=lambda s: note.midi - s) for note in notes]
    playing = []
    for open_midi in STRINGS:
        mine = [note for note, string in zip(notes, strings, strict=True) if string == open_midi]
        if mine:
            motion, strikes = _play_string(mine, excerpt)
            coil = Hearing(PICKUP_SHARE, midi_hertz(open_midi))
            playing.append((Running(motion), lay_out(strikes, cuts), coil))
    for start, stop in pairwise(cuts):
        heard = np.zeros(stop - start, np.float32)
        for running, drive, coil in playing:
            heard += coil.run(running.run(next(drive)))
        yield heard


def _play_string(notes: list[BandNote], excerpt: Excerpt) -> tuple[Motion, list[Event]]:
    motion = Motion([], [])
    strikes: list[Event] = []
    starts = [excerpt.sample(note.onset) for note in notes]
    for note, start, following in zip(notes, starts, [*starts[1:], excerpt.length + TOUCH], strict=True):
        hertz = midi_hertz(note.midi)
        loop = DEADENED if note.dead else SOUNDING
        sounding, stopped = loop.filters(hertz), STOPPED.filters(hertz)
        stop = excerpt.ring_out if note.end == excerpt.tune.chart.length else excerpt.sample(note.end)
        stop = min(stop, following - TOUCH)
        motion.add(start, sounding)
        motion.add(max(start + 1, stop - LIFT), sounding)
        motion.add(stop, stopped)
        if following - TOUCH > stop + SILENT_AFTER:
            motion.add(stop + SILENT_AFTER, stopped)
            motion.add(stop + SILENT_AFTER, (stopped[0], 0.0, 0.0, 0.0))
        else:
            motion.add(following - TOUCH, stopped)
        strikes.append((start, partial(_plucked, note.level, hertz)))
    return motion, strikes


def _plucked(level: float, hertz: float) -> Samples:
    return np.float32(level) * pluck(hertz, FINGER_PLACE, FINGER_MS)
