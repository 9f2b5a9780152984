"""Roles of single notes. What each is called is common practice, no source."""

from __future__ import annotations

import pytest

from solowright.harmony import read_line
from tests.harmony.tunes import type_tune


def roles(chart: str, line: str) -> list[str]:
    return [note.role for note in read_line(type_tune(chart, line)).notes]


def degrees(chart: str, line: str) -> list[str | None]:
    return [note.degree for note in read_line(type_tune(chart, line)).notes]


@pytest.mark.parametrize(
    ("chart", "line", "place", "role"),
    [
        ("Cmaj7", "C4 D4 E4", 1, "passing"),
        ("Cmaj7", "E4 F4 E4", 1, "neighbour"),
        ("Cmaj7", "C5 F#4 G4", 1, "approach"),
        ("Cmaj7", "A4 F#4 G4", 0, "enclosure"),
        ("Cmaj7", "A4 F#4 G4", 1, "enclosure"),
        ("Cmaj7", "E4 D4:2", 1, "tension"),
        ("Cmaj7", "G4 D4 G4 C4", 1, "tension"),
        ("C7", "G4 Eb4 E4", 1, "blue-note"),
        ("C7", "F4 Eb4 C4", 1, "blue-note"),
        ("C7", "D4 Eb4 E4", 1, "passing"),
        ("C7", "F4 Eb4 E4", 1, "enclosure"),
        ("C7", "C4 E4 Eb4 C4", 2, "tension"),
        ("C7", "~D#4 E4 G4", 0, "blue-note"),
        ("Cmaj7", "C4 F4:2", 1, "free"),
        ("Cmaj7 | F7", "r:7/2 A4 r:1 C5", 0, "anticipation"),
        ("Cmaj7 | F7", "r:7/2 C5:1 A4", 0, "chord-tone"),
        ("Dm7 | G7", "r:2 C5:4 B4", 0, "suspension"),
        ("Dm7 | G7", "r:2 C5:2 C5:1 B4", 1, "suspension"),
        ("C7 | F7", "r:2 G4 C5 G4 D5 G4 C5 G4 A4", 4, "pedal"),
        ("-", "C4 E4", 0, "free"),
    ],
)
def test_a_note_has_the_role_that_a_teacher_gives_it(chart: str, line: str, place: int, role: str) -> None:
    assert roles(chart, line)[place] == role


def test_the_notes_that_say_the_chord_are_chord_tones_wherever_they_stand() -> None:
    assert set(roles("Cm7b5", "C4 Eb4 Gb4 Bb4")) == {"chord-tone"}
    assert set(roles("C6", "C4 E4 G4 A4")) == {"chord-tone"}
    assert set(roles("C7sus4", "C4 F4 G4 Bb4")) == {"chord-tone"}
    assert roles("C9", "D4:2")[0] == "tension"


def test_degrees_are_spelled_against_the_chord() -> None:
    assert degrees("G7", "Ab4 A4 A#4 B4 C#5 Eb5 E5 F5") == ["b9", "9", "#9", "3", "#11", "b13", "13", "b7"]
    assert degrees("Am7", "C4 E4 G4") == ["b3", "5", "b7"]
    assert degrees("-", "C4") == [None]


def test_an_anticipation_is_named_against_the_chord_it_belongs_to() -> None:
    note = read_line(type_tune("Cmaj7 | F7", "r:7/2 A4 r:1 C5")).notes[0]
    assert note.chord is not None
    assert (note.chord.symbol, note.degree) == ("F7", "3")
