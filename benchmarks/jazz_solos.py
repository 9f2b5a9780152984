"""The solos of ``../shared/data/wjd`` (or ``SOLOWRIGHT_DATA``) as tunes, for the benchmarks.

Onsets are those of the data's own grid (beat and part of the beat); durations come from seconds at
the solo's average tempo, rounded to a twelfth of a quarter. A few notes that the grid puts on one
spot are kept apart by a 48th of a quarter: the instruments are of one voice.
"""

from __future__ import annotations

import csv
import gzip
import os
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import islice
from pathlib import Path

from solowright.errors import InputError
from solowright.music.chart import Bar, Chart, ChordAt, Section
from solowright.music.chord import NO_CHORD, parse_chord
from solowright.music.line import Note, make_line
from solowright.music.pitch import Tone, parse_tone
from solowright.music.spelling import spell_note
from solowright.music.time import Meter
from solowright.music.tune import Key, Tune

ROOT = Path(os.environ.get("SOLOWRIGHT_DATA", Path(__file__).parents[2] / "shared" / "data")) / "wjd"
APART = Fraction(1, 48)
Row = dict[str, str]


@dataclass(frozen=True)
class Solo:
    """One solo: its tune, its style, and the notes that open a phrase by the transcribers' ears."""

    number: int
    style: str
    tune: Tune
    opens: tuple[bool, ...]


def load_solos(every: int = 1) -> Iterator[Solo]:
    """Every solo, or every so many, in the order of the data."""
    if not ROOT.is_dir():
        raise InputError(f"{ROOT} is not there; set SOLOWRIGHT_DATA to the folder of open data")
    notes, beats = _by_solo("notes.csv.gz"), _by_solo("beats.csv.gz")
    with (ROOT / "solos.csv").open(encoding="utf-8") as file:
        for row in islice(csv.DictReader(file), 0, None, every):
            yield _make_solo(row, notes[row["melid"]], beats[row["melid"]])


def _by_solo(name: str) -> dict[str, list[Row]]:
    rows = defaultdict(list)
    with gzip.open(ROOT / name, "rt", encoding="utf-8") as file:
        for row in csv.DictReader(file):
            rows[row["melid"]].append(row)
    return rows


def _make_solo(row: Row, notes: list[Row], beats: list[Row]) -> Solo:
    tempo = float(row["avgtempo"])
    chart, starts = _make_chart(notes, beats)
    key = _key(row["key"])
    line = []
    at = Fraction(-1)
    for index, note in enumerate(notes):
        inside = Fraction(int(note["tatum"]) - 1, int(note["division"]))
        at = max(starts[int(note["bar"])] + int(note["beat"]) - 1 + inside, at + APART)
        seconds = float(note["duration"] or 0.2)
        length = Fraction(max(1, round(seconds * tempo / 60 * 12)), 12)
        line.append((index, at, length))
    made = []
    for (index, onset, length), after in zip(line, [*line[1:], None], strict=True):
        held = min(length, after[1] - onset) if after else length
        pitch = spell_note(int(float(notes[index]["pitch"])), key, chart.chord_at(onset))
        made.append(Note(pitch, onset, held))
    tune = Tune(row["melid"], chart, make_line(made), key=key)
    return Solo(int(row["melid"]), row["style"], tune, tuple(note["phrase_begin"] == "1" for note in notes))


def _make_chart(notes: list[Row], beats: list[Row]) -> tuple[Chart, dict[int, Fraction]]:
    """The chart by bar, and where each numbered bar starts."""
    chords: dict[int, dict[int, str]] = defaultdict(dict)
    lengths: dict[int, int] = {}
    for row in beats:
        chords[int(row["bar"])][int(row["beat"])] = row["chord"]
    for row in notes:
        lengths[int(row["bar"])] = int(row["period"])
        chords[int(row["bar"])].setdefault(int(row["beat"]), row["chord"])
    bars, starts, at = [], {}, Fraction(0)
    length = next(iter(lengths.values()))
    for number in range(min(chords), max(chords) + 1):
        length = max(lengths.get(number, length), *chords[number], 1)
        changes = tuple(
            ChordAt(Fraction(beat - 1), None if symbol in NO_CHORD else parse_chord(symbol))
            for beat, symbol in sorted(chords[number].items())
            if symbol
        )
        bars.append(Bar(Meter(length, 4), changes))
        starts[number] = at
        at += length
    return Chart((Section("", tuple(bars)),)), starts


def _key(text: str) -> Key:
    """``Bb-maj``, ``C-min``, ``D-dor``; C where the data names none."""
    tonic, _, mode = text.partition("-")
    try:
        return Key(parse_tone(tonic), mode in ("min", "dor", "phry", "aeol"))
    except InputError:
        return Key(Tone(0))
