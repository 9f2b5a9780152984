"""The comping and the brass: when they play the chart's chords, and with which notes."""

from __future__ import annotations

from fractions import Fraction
from random import Random

from solowright.music.chord import Chord
from solowright.music.time import Feel, Time
from solowright.sound.band import DOTTED, BandBar, BandNote, Harmony
from solowright.sound.voicing import BRASS_RANGE, COMPING_RANGE, voice

# (offset, length) in quarters inside a chord of two beats or more; what lies past its end is cut.
# Every pattern strikes on the change itself. Common practice, no source.
_Pattern = tuple[tuple[Fraction, Fraction], ...]


def _pattern(*strikes: tuple[float, float]) -> _Pattern:
    return tuple((Fraction(at), Fraction(length)) for at, length in strikes)


SWUNG = (
    _pattern((0, 1.5), (1.5, 0.5)),
    _pattern((0, 0.5), (1.5, 1)),
    _pattern((0, 2), (2.5, 0.5)),
    _pattern((0, 0.5), (2.5, 1)),
    _pattern((0, 1), (1.5, 0.5), (3.5, 0.5)),
)
STRAIGHT = (
    _pattern((0, 2), (2, 2)),
    _pattern((0, 1.5), (1.5, 2.5)),
    _pattern((0, 1), (1.5, 0.5), (2.5, 1.5)),
    _pattern((0, 0.5), (1, 0.5), (2, 0.5), (3, 0.5)),
)
COMPOUND = (
    _pattern((0, 3), (3, 3)),
    _pattern((0, 1.5), (2.5, 0.5), (3, 1.5)),
    _pattern((0, 1), (1.5, 1), (3, 1), (4.5, 1)),
)


def comp(bars: tuple[BandBar, ...], feel: Feel, random: Random) -> tuple[BandNote, ...]:
    """The comping part: voicings that hold third and seventh and move little."""
    notes: list[BandNote] = []
    before: tuple[int, ...] = ()
    last: _Pattern = ()
    for bar in bars:
        strikes: list[tuple[Time, Time, Chord, float]] = []
        if bar.hits:
            strikes = [(time, end, chord, 1.2) for time, end in bar.hits if (chord := bar.chord_at(time))]
        elif not bar.silent:
            for harmony in bar.harmonies:
                last = random.choice([p for p in _patterns(bar, feel) if p != last])
                strikes += _strikes(harmony, last)
        for time, end, chord, level in strikes:
            before = voice(chord, before, COMPING_RANGE)
            notes += [BandNote(time, end, midi, level) for midi in before]
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


def _patterns(bar: BandBar, feel: Feel) -> tuple[_Pattern, ...]:
    if bar.beat == DOTTED:
        return COMPOUND
    return SWUNG if bar.walks(feel) else STRAIGHT


def _strikes(harmony: Harmony, pattern: _Pattern) -> list[tuple[Time, Time, Chord, float]]:
    room = harmony.end - harmony.start
    return [
        (harmony.start + at, harmony.start + min(at + length, room), harmony.chord, 1.0 if at == 0 else 0.85)
        for at, length in pattern
        if at < room
    ]
