"""MusicXML against another reader and writer: music21 (BSD), version 9 or later.

The 31 lead sheets (real files from the OpenEWLD collection) are read note by note as music21 reads
them, and what we write survives being read and written again by music21.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from solowright.files.musicxml_read import read_musicxml
from solowright.files.musicxml_write import write_musicxml
from solowright.music.chart import Bar, Chart, ChordAt, Section
from solowright.music.chord import parse_chord
from solowright.music.line import Bend, Note, make_line
from solowright.music.pitch import Tone, parse_pitch
from solowright.music.time import steady
from solowright.music.tune import Key, Tune
from tests.data import data_folder

music21: Any = pytest.importorskip("music21")

# Bars as played (from, to), counted in the file from 1 and worked out by hand from its repeat signs,
# for the files whose signs music21's expander refuses (a first bracket that ends before its repeat), and
# for lead-15, where it goes back past the repeat before instead of to its end.
BY_HAND = {
    "lead-15": [(1, 11), (2, 11), (12, 19), (12, 18), (20, 36)],
    "lead-16": [(1, 32), (1, 30), (33, 34)],
    "lead-24": [(1, 41), (2, 39), (42, 43)],
    "lead-26": [(1, 25), (10, 24), (26, 26), (28, 75)],
    "lead-27": [(1, 16), (1, 10), (17, 22)],
    "lead-31": [(1, 16), (1, 14), (17, 50)],
}
Sounding = tuple[Fraction, Fraction, int]  # onset, duration, MIDI
Change = tuple[Fraction, str, frozenset[int] | None]  # onset, root, pitch classes where music21 has them


@pytest.fixture(scope="module", autouse=True)
def _quiet() -> Iterator[None]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def measure_order(part: Any, name: str) -> list[int]:
    if name in BY_HAND:
        return [index - 1 for first, last in BY_HAND[name] for index in range(first, last + 1)]
    expander = music21.repeat.Expander(part)
    count = len(part.getElementsByClass("Measure"))
    return list(expander.measureMap()) if expander.isExpandable() else list(range(count))


def as_music21_reads(file: Any) -> tuple[list[Sounding], list[Change]]:
    part = music21.converter.parse(file, forceSource=True).parts[0]
    measures = list(part.getElementsByClass("Measure"))
    ends = [measure.offset for measure in measures[1:]] + [part.duration.quarterLength]
    lengths = [Fraction(end - measure.offset) for measure, end in zip(measures, ends, strict=True)]
    notes: list[Sounding] = []
    chords: list[Change] = []
    start = Fraction(0)
    for index in measure_order(part, file.stem):
        for element in measures[index].recurse().getElementsByClass(["Note", "ChordSymbol"]):
            onset = start + Fraction(element.getOffsetInHierarchy(measures[index]))
            if isinstance(element, music21.harmony.ChordSymbol):
                chords.append((onset, element.root().name.replace("-", "b"), sounding_tones(element)))
                continue
            length = Fraction(element.duration.quarterLength)
            tied = element.tie is not None and element.tie.type in ("stop", "continue")
            if tied and notes and notes[-1][2] == element.pitch.midi and sum(notes[-1][:2]) == onset:
                notes[-1] = (notes[-1][0], notes[-1][1] + length, notes[-1][2])
            else:
                notes.append((onset, length, element.pitch.midi))
        start += lengths[index]
    return notes, chords


def sounding_tones(symbol: Any) -> frozenset[int] | None:
    """Pitch classes of a chord, where music21 can be asked.

    It knows no kind ``minor-major``, and reads an added 7 as the major seventh, where the schema says
    that an added degree is relative to a dominant chord.
    """
    added = [change.degree for change in symbol.chordStepModifications if change.modType == "add"]
    if 7 in added or len(symbol.pitches) < 2:
        return None
    return frozenset(pitch.pitchClass for pitch in symbol.pitches)


FILES = [f"lead-{number:02d}.mxl" for number in range(1, 32)]


@pytest.mark.parametrize("name", FILES)
def test_lead_sheets_are_read_as_music21_reads_them(name: str) -> None:
    file = data_folder("leadsheets") / name
    tune = read_musicxml(file.read_bytes(), name)
    notes, chords = as_music21_reads(file)
    assert [(note.onset, note.duration, note.pitch.midi) for note in tune.line.notes] == notes
    said = {onset for onset, _, _ in chords}
    read = [
        (start + change.offset, change.chord.root.name, change.chord.pitch_classes)
        for start, bar in zip(tune.chart.starts, tune.chart.bars, strict=False)
        for change in bar.chords
        # A repeat that begins under a held chord says it again for us only.
        if change.chord is not None and (change.offset or start in said)
    ]
    assert len(read) == len(chords) > 0
    for ours, theirs, before in zip(read, chords, [(None, "", None), *chords], strict=False):
        # Chords stacked in front of one note share its length for us; music21 leaves them stacked.
        stacked = theirs[0] == before[0]
        assert ours[0] > theirs[0] if stacked else ours[0] == theirs[0]
        assert ours[1] == theirs[1]
        assert theirs[2] in (None, ours[2])


# Written by us, read and written by music21, read by us again


def at(pitch: str, onset: str, duration: str, **marks: Any) -> Note:
    return replace(Note(parse_pitch(pitch), Fraction(onset), Fraction(duration)), **marks)


LINE = (
    at("A3", "0", "1/2", string=3, fret=2, finger=1),
    at("B3", "1/2", "1/2", string=3, fret=4, finger=3, entry="hammer", slurred=True),
    at("A3", "1", "1/2", string=3, fret=2, finger=1, entry="pull", slurred=True),
    at("G#3", "3/2", "1/2", string=3, fret=1, stroke="up", entry="pick"),
    at("C4", "2", "1/3", string=2, fret=1, finger=1, accent=True),
    at("D4", "7/3", "1/3", string=2, fret=3, entry="slide"),
    at("Eb4", "8/3", "1/3", string=2, fret=4, staccato=True),
    at("F#4", "3", "0", string=1, fret=2, finger=2),
    at("G4", "3", "3", string=1, fret=3, finger=3, slurred=True, bends=(Bend(Fraction(2)),)),
    at("E5", "6", "1", string=1, fret=12, entry="harmonic"),
    at("A5", "7", "1", string=1, fret=17, entry="tap", vibrato=True),
    at("D4", "8", "1", string=2, fret=3),
    at("A3", "8", "1", string=3, fret=2),
    at("C4", "10", "2", string=2, fret=1, dead=True),
)
SYMBOLS = (
    "A7", "D13b9", "F#m7b5", "Bbmaj7", "E7#9", "Cm6", "G7sus4", "C/E", "Ddim7", "AmMaj7", "Emadd9", "C6/9",
)  # fmt: skip


@pytest.fixture(scope="module")
def round_trip() -> tuple[Tune, Tune]:
    chords = [ChordAt(Fraction(index % 4), parse_chord(symbol)) for index, symbol in enumerate(SYMBOLS)]
    bars = tuple(Bar(chords=tuple(chords[first : first + 4])) for first in (0, 4, 8))
    chart = Chart((Section("Vamp", (replace(bars[0], hits=(Fraction(0), Fraction(5, 2))), bars[1])),
                   Section("Bridge", (replace(bars[2], pause=True),))))  # fmt: skip
    tune = Tune("Rope Walk", chart, make_line(LINE), "Nobody", Key(Tone(1), True), tempo=steady(186))
    text = write_musicxml(tune).decode()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        score = music21.converter.parseData(text[text.index("<score-partwise") :], format="musicxml")
        again = music21.musicxml.m21ToXml.GeneralObjectExporter(score).parse()
    return tune, read_musicxml(again, "again.musicxml")


def test_music21_keeps_what_we_write(round_trip: tuple[Tune, Tune]) -> None:
    tune, back = round_trip
    # music21 writes the strings of a whole chord on its first note: the second has lost its own.
    assert back.line.notes[-2] == replace(LINE[-2], string=None, fret=None)
    assert back.line.notes[:-2] + back.line.notes[-1:] == LINE[:-2] + LINE[-1:]
    assert back.chart == tune.chart
    assert (back.title, back.composer) == (tune.title, tune.composer)
    assert (back.key, back.tempo) == (tune.key, tune.tempo)


def test_music21_sounds_what_we_mean(round_trip: tuple[Tune, Tune]) -> None:
    text = write_musicxml(round_trip[0]).decode()
    parsed = music21.converter.parseData(text[text.index("<score-partwise") :], format="musicxml")
    for part in parsed.parts:
        flat = part.stripTies().flatten()
        heard = [
            (Fraction(element.offset), pitch.midi)
            for element in flat.notes
            if not isinstance(element, music21.harmony.ChordSymbol)
            for pitch in sorted(element.pitches, reverse=True)
        ]
        assert heard == [(note.onset, note.pitch.midi) for note in LINE]
