"""The comping and the brass: when they play the chart's chords, and with which notes."""

from __future__ import annotations

from functools import partial
from random import Random

from solowright.music.chord import Chord
from solowright.music.time import Time
from solowright.music.voicing import BRASS_RANGE, COMPING_RANGE, VOICES, voice
from solowright.sound.band import DOTTED, BandBar, BandNote, Harmony, cut_last, freshly, notes_within, steps
from solowright.sound.styles import COMPING, COMPOUND_COMPING, COMPOUND_LENGTH, PATTERN_LENGTH, Strikes, Style


def comp(bars: tuple[BandBar, ...], style: Style, random: Random) -> tuple[BandNote, ...]:
    """The comping part: voicings that hold third and seventh and move little."""
    notes: list[BandNote] = []
    recent: list[object] = []
    before: tuple[int, ...] = ()
    for bar in bars:
        if bar.hits:
            strikes = [(time, end, chord, 1.2) for time, end in bar.hits if (chord := bar.chord_at(time))]
            notes += _voiced(strikes, before)
        elif not bar.silent:
            notes += freshly(partial(_bar, bar, before, style, random), notes_within(bar), recent, cut_last)
        if bar.hits or bar.silent:
            recent.clear()
        before = _last_chord(notes)
    return tuple(notes)


def answer(bars: tuple[BandBar, ...]) -> tuple[BandNote, ...]:
    """The answers whose rhythm is written, for brass: the chord of the moment at each of their offsets."""
    notes: list[BandNote] = []
    before: tuple[int, ...] = ()
    for bar in bars:
        for time, end in bar.answer:
            chord = bar.chord_at(time)
            if chord:
                before = voice(chord, before, BRASS_RANGE)
                notes += [BandNote(time, end, midi) for midi in before]
    return tuple(notes)


_Strike = tuple[Time, Time, Chord, float]


def _bar(bar: BandBar, before: tuple[int, ...], style: Style, random: Random) -> list[BandNote]:
    compound = bar.beat == DOTTED
    patterns, length = (COMPOUND_COMPING, COMPOUND_LENGTH) if compound else (COMPING[style], PATTERN_LENGTH)
    strikes = []
    for harmony in bar.harmonies:
        strikes += _strikes(harmony, random.choice(patterns), length)
    return _voiced(strikes, before)


def _strikes(harmony: Harmony, pattern: Strikes, length: Time) -> list[_Strike]:
    """The pattern over one chord, again and again until the chord ends."""
    return [
        (start + at, min(start + at + lasts, harmony.end), harmony.chord, 1.0 if at == 0 else 0.85)
        for start in steps(harmony.start, harmony.end, length)
        for at, lasts in pattern
        if start + at < harmony.end
    ]


def _voiced(strikes: list[_Strike], before: tuple[int, ...]) -> list[BandNote]:
    notes = []
    for time, end, chord, level in strikes:
        before = voice(chord, before, COMPING_RANGE)
        notes += [BandNote(time, end, midi, level) for midi in before]
    return notes


def _last_chord(notes: list[BandNote]) -> tuple[int, ...]:
    return tuple(note.midi for note in notes[-VOICES:] if note.onset == notes[-1].onset)
