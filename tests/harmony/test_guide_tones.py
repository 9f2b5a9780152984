from __future__ import annotations

from solowright.harmony import read_line
from tests.harmony.tunes import type_tune


def path(chart: str, line: str) -> list[tuple[str, str, int | None]]:
    reading = read_line(type_tune(chart, line))
    return [
        (reading.notes[guide.note].pitch.name, guide.degree, guide.move) for guide in reading.guide_tones
    ]


def test_the_path_takes_the_guide_tones_that_move_least() -> None:
    line = "F4 A4 C5 A4 F4 D4 C4 D4 B3 D4 F4 G4 F4 D4 B3 D4 E4:2"
    assert path("Dm7 | G7 | Cmaj7", line) == [("F4", "b3", None), ("F4", "b7", 0), ("E4", "3", -1)]


def test_parallel_sevenths_lead_nowhere() -> None:
    assert path("Bm7 | Am7", "A4 F#4 D4 B3 A4 F#4 D4 B3 G4 E4 G4 A4") == [
        ("A4", "b7", None), ("G4", "b7", None),
    ]  # fmt: skip


def test_a_guide_tone_must_come_within_a_beat_of_the_change() -> None:
    late = path("G7 | Cmaj7", "F4 D4 G4 D4 F4 D4 G4 D4 G4 C5 G4 C5 E4:2")
    assert late == [("F4", "b7", None), ("E4", "3", None)]


def test_the_sixth_is_no_guide_tone() -> None:
    assert path("C6", "A4 G4 E4 C4") == [("E4", "3", None)]


def test_a_chord_without_a_guide_tone_breaks_the_path() -> None:
    found = path("Dm7 | G7 | Cmaj7", "F4 A4 D5 A4 D5 A4 D5 A4 G4 D4 G4 D4 G4 D4 G4 D4 E4 G4 C5:1")
    assert found == [("F4", "b3", None), ("E4", "3", None)]


def test_a_triad_has_only_its_third() -> None:
    assert path("C", "C4 G4 E4 C5") == [("E4", "3", None)]
