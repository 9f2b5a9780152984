"""Chords of MusicXML read, odd ones of real files included."""

from __future__ import annotations

import pytest

from solowright.errors import FileError
from tests.files.scores import harmony, note, read, score, symbols

WHOLE = note("C4", 16)


@pytest.mark.parametrize(
    ("element", "symbol"),
    [
        (harmony("C", "major"), "C"),
        (harmony("Bb", "minor-seventh", text="-7"), "Bb-7"),
        (harmony("F#", "half-diminished", text="m7b5"), "F#m7b5"),
        (harmony("G", "dominant", text=""), "G7"),
        (harmony("G", "dominant", text="nonsense"), "G7"),
        (harmony("D", "dominant-13th", (9, -1, "alter"), text="13b9"), "D13b9"),
        (harmony("D", "dominant-13th", (9, -1, "alter")), "D13b9"),
        (harmony("D", "dominant", (9, -1, "add"), (13, 0, "add")), "D13b9"),
        (harmony("E", "dominant", (5, 1, "alter"), (9, 1, "add")), "E7#5#9"),
        (harmony("E", "suspended-fourth", (7, 0, "add"), text="7sus"), "E7sus"),
        (harmony("E", "dominant", (3, 0, "subtract"), (4, 0, "add")), "E7sus4"),
        (harmony("C", "major", (7, 1, "add")), "Cmaj7"),
        (harmony("C", "major", (9, 0, "add")), "Cadd9"),
        (harmony("A", "major-minor"), "AmMaj7"),
        (harmony("A", "power"), "A5"),
        (harmony("A", "min7"), "Am7"),
        (harmony("A", ""), "A"),
        (harmony("A", "other", (3, 0, "add"), (5, 0, "add"), (7, 0, "add")), "A7"),
        (harmony("A", "other", text="m7"), "Am7"),
        (harmony("A", "minor", more="<bass><bass-step>G</bass-step></bass>"), "Am/G"),
        (harmony("A", "minor", more="<bass><bass-step>A</bass-step></bass>"), "Am"),
        (harmony("A", "none"), "N.C."),
    ],
)
def test_chords(element: str, symbol: str) -> None:
    assert symbols(read(score(element + WHOLE))) == f"{symbol}@0"


def test_chords_stand_at_the_cursor_and_their_offset() -> None:
    late = harmony("D", "minor").replace("</harmony>", "<offset>6</offset></harmony>")
    first, second = harmony("C", "major") + note("C4", 8), harmony("G", "dominant") + note("D4", 8)
    tune = read(score(late + first + second))
    assert symbols(tune) == "C@0 Dm@3/2 G7@2"


@pytest.mark.parametrize(
    ("element", "cause"),
    [
        (harmony("C", "Tristan"), "chord kind 'Tristan' is no chord of a lead sheet"),
        (harmony("C", "purple"), "chord kind 'purple' is not known"),
        (harmony("C", "dominant", (19, 0, "add")), "chord degree '19'"),
        (harmony("C", "power", (8, 0, "add")), "no chord symbol says C with the degrees"),
        (harmony("H", "major"), "root 'H'"),
        ("<harmony><function>V</function><kind>major</kind></harmony>", "a chord without a root"),
    ],
)
def test_chords_that_are_not_understood_say_where_and_why(element: str, cause: str) -> None:
    with pytest.raises(FileError) as caught:
        read(score(WHOLE, element + WHOLE))
    (problem,) = caught.value.problems
    assert cause in problem.text and problem.text.startswith("bar 2: ")
    line = score(WHOLE, element + WHOLE).decode().splitlines()[3]
    assert (problem.line, problem.column) == (4, line.index("<harmony") + 1)


def test_chords_stacked_in_front_of_one_note_share_it() -> None:
    stacked = harmony("D", "minor-seventh") + harmony("G", "dominant")
    tune = read(score(harmony("C", "major") + note("C4", 4) + stacked + note("B4", 12), stacked + WHOLE))
    assert symbols(tune) == "C@0 Dm7@1 G7@5/2 Dm7@4 G7@6"
    assert symbols(read(score(stacked))) == "Dm7@0 G7@2"
