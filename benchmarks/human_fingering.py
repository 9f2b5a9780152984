"""Fingerings that people wrote or played, as tunes with their marks, for fitting and for reports.

Classical: ``../shared/data/classical-fingering``, finger and string marks on some notes of engraved
pieces; the tempo is not in the data and taken as ``TEMPO`` (assumed). Pieces in the public domain are
kept for fitting, so that nothing in the package derives from share-alike rows; all others are held
out. Played: ``../shared/data/guitarset``, strings and frets of two players; one for fitting, one held out.
Printed: scales and boxes in closed position as any handbook prints them, one finger a fret (common
practice, no source), for fitting only.
"""

from __future__ import annotations

import csv
import gzip
import os
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

from solowright.music.chart import Bar, Chart, Section
from solowright.music.line import Note, make_line
from solowright.music.pitch import plain
from solowright.music.time import steady
from solowright.music.tune import STANDARD_TUNING, Tune
from solowright.neck import Player, places_of

DATA = Path(os.environ.get("SOLOWRIGHT_DATA", Path(__file__).parents[2] / "shared" / "data"))
TEMPO = 90.0
DROP_D = (*STANDARD_TUNING[:-1], 38)
PART = 32  # quarters of a piece that are solved at once
TOGETHER = 0.03  # seconds between the strings of one strum
FITTING_PLAYER = "00"

# String, then frets above the position, from the lowest string up.
PATTERNS = {
    "major from the sixth string": ("6 13", "5 013", "4 023", "3 023", "2 13", "1 01"),
    "major from the fifth string": ("5 13", "4 013", "3 023", "2 13", "1 013"),
    "minor pentatonic": ("6 03", "5 02", "4 02", "3 02", "2 03", "1 03"),
    "minor": ("6 023", "5 023", "4 02"),
}
POSITIONS = (4, 5, 7, 8, 9)


@dataclass(frozen=True)
class Marked:
    """Part of a piece and what a person chose: finger and string by note, None where not known."""

    piece: str
    fitting: bool
    source: str
    tune: Tune
    fingers: tuple[int | None, ...]
    strings: tuple[int | None, ...]

    def suit(self, player: Player) -> Player:
        """The player with the taste of this music: classical guitar has nothing against open strings,
        which an electric guitarist has to damp (common practice, no source)."""
        if self.source != "engraved":
            return player
        return replace(player, effort=replace(player.effort, open_string=0.0))

    @property
    def locked(self) -> Tune:
        """The tune with the person's choices fixed."""
        notes = [
            replace(note, finger=finger, string=string, fret=0 if finger == 0 else None)
            for note, finger, string in zip(self.tune.line.notes, self.fingers, self.strings, strict=True)
        ]
        return replace(self.tune, line=make_line(notes))


def read_marked() -> list[Marked]:
    """Every part that holds a mark, classical pieces first."""
    return [part for part in (*read_engraved(), *read_played(), *read_printed()) if any(_known(part))]


def _known(part: Marked) -> Iterator[bool]:
    return (each is not None for each in (*part.fingers, *part.strings))


def read_engraved() -> Iterator[Marked]:
    """The engraved pieces, in parts of eight bars or so."""
    folder = DATA / "classical-fingering"
    with (folder / "pieces.csv").open(encoding="utf-8") as file:
        pieces = {row["piece"]: row for row in csv.DictReader(file)}
    parts = defaultdict(list)
    with gzip.open(folder / "notes.csv.gz", "rt", encoding="utf-8") as file:
        for row in csv.DictReader(file):
            if "1" in (row["unison_dup"], row["harmonic"], row["grace"]) or row["flag"] == "chord_conflict":
                continue
            parts[row["piece"], int(Fraction(row["onset_frac"]) // PART)].append(row)
    for (name, number), rows in parts.items():
        tuning = DROP_D if "drop D" in pieces[name]["tuning"] else STANDARD_TUNING
        marked = [_engraved_note(row, number * PART, tuning) for row in rows]
        fitting = pieces[name]["licence"] == "Public Domain"
        yield _make_part(name, fitting, "engraved", marked, TEMPO, tuning)


def _engraved_note(row: dict[str, str], start: int, tuning: tuple[int, ...]) -> tuple[Note, int | None]:
    finger = int(row["finger"]) if row["finger"] else None
    string = int(row["string"]) if row["string"] else None
    midi = int(row["midi"])
    if finger == 0:
        string = tuning.index(midi) + 1 if midi in tuning else None
        finger = None if string is None else 0
    onset, lasts = Fraction(row["onset_frac"]) - start, Fraction(row["duration_frac"])
    return Note(plain(midi), onset, lasts, string=string), finger


def read_played() -> Iterator[Marked]:
    """The played excerpts; the strings of one strum are gathered to one onset. Strums overlap with
    what rings on in this data, so notes are cut where the next begin."""
    excerpts = defaultdict(list)
    with (DATA / "guitarset" / "notes.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            excerpts[row["excerpt"]].append(row)
    for name, rows in excerpts.items():
        bpm, start, marked = float(name.split("-")[1]), -1.0, []
        taken: set[str] = set()
        for row in sorted(rows, key=lambda row: float(row["onset"])):
            if float(row["onset"]) - start > TOGETHER or row["string"] in taken:
                start, taken = float(row["onset"]), set()
            midi, string = round(float(row["pitch"])), int(row["string"])
            if (string, int(row["fret"])) not in [(spot.string, spot.fret) for spot in places_of(midi)]:
                continue
            taken.add(row["string"])
            onset = Fraction(start * bpm / 60).limit_denominator(480)
            marked.append((Note(plain(midi), onset, Fraction(1, 32), string=string), None))
        yield _make_part(name, name.startswith(FITTING_PLAYER), "played", marked, bpm, STANDARD_TUNING)


def read_printed() -> Iterator[Marked]:
    """Every pattern up and down in some positions; the first note's place says which is meant."""
    for name, strings in PATTERNS.items():
        rising = [(int(row[0]), int(step)) for row in strings for step in row[2:]]
        for position in POSITIONS:
            for way in (rising, rising[::-1]):
                marked = []
                for index, (string, step) in enumerate(way):
                    midi = STANDARD_TUNING[string - 1] + position + step
                    half = Fraction(1, 2)
                    marked.append((Note(plain(midi), index * half, half, string=string), step + 1))
                part = _make_part(f"{name}, {position}", True, "printed", marked, TEMPO, STANDARD_TUNING)
                first, *rest = part.tune.line.notes
                first = replace(first, string=way[0][0], finger=way[0][1] + 1)
                yield replace(part, tune=replace(part.tune, line=make_line([first, *rest])))


def _make_part(
    name: str,
    fitting: bool,
    source: str,
    marked: list[tuple[Note, int | None]],
    bpm: float,
    tuning: tuple[int, ...],
) -> Marked:
    """Marks ride along as the notes are put in the line's order."""
    line = make_line([replace(note, finger=finger) for note, finger in marked]).notes
    bars = (Bar(),) * (int(max(note.end for note in line) // 4) + 1)
    bare = tuple(replace(note, string=None, finger=None) for note in line)
    tune = Tune(name, Chart((Section("", bars),)), make_line(bare), tempo=steady(bpm), tuning=tuning)
    return Marked(name, fitting, source, tune, tuple(n.finger for n in line), tuple(n.string for n in line))
