"""The bass: what it plays from the chart, and a plucked string to play it on.

The root, or the bass after the slash, falls on every change of chord. Between, swing is walked in
quarters and led into the next root by step; anything else is held down in eighths on the root.
Common practice, no source.
"""

from __future__ import annotations

from random import Random

import numpy as np

from solowright.music.chord import Chord
from solowright.music.pitch import degree_interval
from solowright.music.time import EIGHTH, QUARTER, Feel, Time
from solowright.sound.band import BandBar, BandNote, Harmony, steps
from solowright.sound.excerpt import Excerpt
from solowright.sound.string import (
    SAMPLE_RATE,
    Loop,
    Motion,
    Samples,
    add_at,
    hear,
    midi_hertz,
    pluck,
    run_string,
)

LOWEST, ROOT_TOP, HIGHEST = 28, 40, 48  # E1, E2, C3
STRINGS = (43, 38, 33, 28)  # G2 D2 A1 E1
SOUNDING, STOPPED = Loop(4.5, 0.6, 5e-5), Loop(0.08, 0.03, 5e-5)  # from memory of a worn set of strings
FINGER_PLACE, FINGER_MS, PICKUP_SHARE = 0.22, 0.8, 0.13
TOUCH = round(0.006 * SAMPLE_RATE)  # the finger is on the string this long before it plucks
LIFT = round(0.02 * SAMPLE_RATE)
SILENT_AFTER = round(0.25 * SAMPLE_RATE)


def bass_line(bars: tuple[BandBar, ...], feel: Feel, random: Random) -> tuple[BandNote, ...]:
    """The bass part, in time order, one note at a time."""
    notes: list[BandNote] = []
    for bar in bars:
        if bar.hits:
            for time, end in bar.hits:
                chord = bar.chord_at(time)
                if chord:
                    notes.append(BandNote(time, end, _root(chord, _last(notes)), 1.15))
        elif not bar.silent:
            for harmony in bar.harmonies:
                if bar.walks(feel):
                    _walk(harmony, notes, random)
                else:
                    _drive(bar, harmony, notes, random)
    return tuple(notes)


def _last(notes: list[BandNote]) -> int:
    return notes[-1].midi if notes else LOWEST + 7


def _root(chord: Chord, near: int) -> int:
    """The root or slash bass nearest to ``near``, low on the instrument."""
    pitch_class = (chord.bass or chord.root).pitch_class
    return min(
        (midi for midi in range(LOWEST, ROOT_TOP + 1) if midi % 12 == pitch_class),
        key=lambda midi: (abs(midi - near), midi),
    )


def _walk(harmony: Harmony, notes: list[BandNote], random: Random) -> None:
    beats = _beats(harmony, QUARTER)
    for n, (time, end) in enumerate(beats):
        near = _last(notes)
        following = harmony.following
        fresh = harmony.changed or not notes or notes[-1].end < time  # after a break too
        if n == 0 and (fresh or random.random() < 0.6):
            midi = _root(harmony.chord, near)
        elif n == len(beats) - 1 and n > 0 and following and following != harmony.chord:
            midi = _approach(_root(following, near), near, random)
        else:
            midi = _chord_tone(harmony.chord, near, random)
        notes.append(BandNote(time, end, midi, 1.0 if n % 2 == 0 else 1.06))


def _beats(harmony: Harmony, step: Time) -> list[tuple[Time, Time]]:
    """(start, end) of each note of ``step`` from the chord's start to its end."""
    return [(time, min(harmony.end, time + step)) for time in steps(harmony.start, harmony.end, step)]


def _approach(target: int, near: int, random: Random) -> int:
    """A half step into ``target``, from the side where the line comes from, or now and then its fifth."""
    if random.random() < 0.2 and target + 7 <= HIGHEST:
        return target + 7
    side = 1 if near > target or (near == target and random.random() < 0.5) else -1
    return target + side if target + side >= LOWEST else target + 1


def _chord_tone(chord: Chord, near: int, random: Random) -> int:
    """A tone of the chord's first four degrees close to ``near`` and not the same."""
    classes = {(chord.root.pitch_class + degree_interval(d).semitones) % 12 for d in chord.degrees[:4]}
    choices = [m for m in range(LOWEST, HIGHEST + 1) if m % 12 in classes and 0 < abs(m - near) <= 7]
    if not choices:
        return _root(chord, near)
    middle = (LOWEST + HIGHEST) / 2 - 2
    return min(choices, key=lambda m: abs(m - near) + 0.25 * abs(m - middle) + random.uniform(0, 3))


def _drive(bar: BandBar, harmony: Harmony, notes: list[BandNote], random: Random) -> None:
    """Eighths on the root, with its octave or fifth at the end of some bars."""
    root = _root(harmony.chord, _last(notes))
    turn = root + (12 if root + 12 <= HIGHEST else 0) if random.random() < 0.5 else root
    beats = _beats(harmony, EIGHTH)
    for n, (time, end) in enumerate(beats):
        strong = (time - bar.start) % bar.beat == 0
        midi = turn if len(beats) >= 4 and n == len(beats) - 1 else root
        notes.append(BandNote(time, end, midi, 1.0 if strong else 0.8))


def sound_bass(notes: tuple[BandNote, ...], excerpt: Excerpt) -> Samples:
    """The part on four strings: plucked by fingers, each note stopped where the next begins."""
    heard = np.zeros(excerpt.length, np.float32)
    strings = [min((s for s in STRINGS if s <= note.midi), key=lambda s: note.midi - s) for note in notes]
    for open_midi in STRINGS:
        mine = [note for note, string in zip(notes, strings, strict=True) if string == open_midi]
        if mine:
            heard += _play_string(mine, open_midi, excerpt)
    return heard


def _play_string(notes: list[BandNote], open_midi: int, excerpt: Excerpt) -> Samples:
    motion, drive = Motion([], []), np.zeros(excerpt.length, np.float32)
    starts = [excerpt.sample(note.onset) for note in notes]
    for note, start, following in zip(notes, starts, [*starts[1:], excerpt.length + TOUCH], strict=True):
        hertz = midi_hertz(note.midi)
        sounding, stopped = SOUNDING.filters(hertz), STOPPED.filters(hertz)
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
        add_at(drive, start, note.level * pluck(hertz, FINGER_PLACE, FINGER_MS))
    return hear(run_string(motion, drive), PICKUP_SHARE, midi_hertz(open_midi))
