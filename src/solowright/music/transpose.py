"""A tune in another key: chart, key signature and pitches, spelled as the new key spells them."""

from __future__ import annotations

from dataclasses import replace

from solowright.errors import InputError
from solowright.music.chart import Bar, ChordAt
from solowright.music.chord import transpose_chord
from solowright.music.line import Line
from solowright.music.pitch import Interval
from solowright.music.tune import Key, Tune


def transpose(tune: Tune, semitones: int) -> Tune:
    """The tune so many half steps higher, in the simplest key. Notes are free of string, fret and finger,
    and stand in the same order. Raises InputError past an octave."""
    if not -12 <= semitones <= 12:
        raise InputError(f"can't transpose by {semitones} half steps; give -12 to 12")
    octave, inside = divmod(semitones, 12)
    choices = [Interval(steps + 7 * octave, semitones) for steps in {inside * 7 // 12, -(-inside * 7 // 12)}]
    return transpose_by(
        tune, min(choices, key=lambda by: (abs(_key(tune.key, by).fifths), by.steps))
    )


def transpose_by(tune: Tune, interval: Interval) -> Tune:
    """The tune higher by a spelled interval, and so in the key that it leads to. Notes as ``transpose``
    leaves them."""
    sections = tuple(
        replace(section, bars=tuple(_bar_up(bar, interval) for bar in section.bars))
        for section in tune.chart.sections
    )
    notes = tuple(
        replace(note, pitch=note.pitch.up(interval), string=None, fret=None, finger=None)
        for note in tune.line.notes
    )
    chart = replace(tune.chart, sections=sections)
    return replace(tune, chart=chart, line=Line(notes), key=_key(tune.key, interval))


def _key(key: Key, interval: Interval) -> Key:
    return replace(key, tonic=key.tonic.up(interval))


def _bar_up(bar: Bar, interval: Interval) -> Bar:
    chords = tuple(
        ChordAt(at.offset, at.chord and transpose_chord(at.chord, interval)) for at in bar.chords
    )
    return replace(bar, chords=chords)
