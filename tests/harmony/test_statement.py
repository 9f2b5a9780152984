from __future__ import annotations

import pytest

from solowright.harmony import read_line
from solowright.harmony.statement import Statement
from tests.harmony.tunes import type_tune


def statements(chart: str, line: str) -> list[Statement]:
    return list(read_line(type_tune(chart, line)).statements)


def test_a_chord_spelled_out_is_heard_without_the_band() -> None:
    (heard,) = statements("Dm7", "D4 F4 A4 C5")
    assert (heard.score, heard.stated) == (1.0, True)
    assert (heard.guide_tones, heard.chord_tones, heard.arrives) == (("b3", "b7"), 1.0, True)


def test_without_third_and_seventh_it_is_not() -> None:
    (heard,) = statements("Dm7", "A4 D5 E5 D5 A4 D5")
    assert heard.guide_tones == ()
    assert not heard.stated


@pytest.mark.parametrize(("chart", "line", "guides"), [
    ("G7sus4", "G4 C5 D5 F5", ("4", "b7")), ("Bdim7", "B3 D4 F4 Ab4", ("b3", "bb7")),
    ("C6", "C4 E4 G4 A4", ("3", "6")), ("C", "C4 E4 G4 C5", ("3",)),
])  # fmt: skip
def test_guide_tones_are_those_the_chord_has(chart: str, line: str, guides: tuple[str, ...]) -> None:
    (heard,) = statements(chart, line)
    assert heard.guide_tones == guides


def test_a_note_pushed_ahead_counts_for_the_chord_it_belongs_to() -> None:
    first, second = statements("Dm7 | G7", "D4 F4 A4 C5 A4 F4 D4 B4:1 D5 F5 G5")
    assert (first.bar, first.chord, second.bar, second.chord) == (1, "Dm7", 2, "G7")
    assert second.arrives and second.guide_tones == ("3", "b7")


def test_third_and_seventh_passed_through_by_half_steps_say_nothing() -> None:
    (heard,) = statements("E7", "Eb4 D4 Db4 C4 B3 Bb3 A3 G#3 G3")
    assert (heard.guide_tones, heard.missed) == ((), ("3", "b7"))
    (heard,) = statements("E7", "D4 C#4 C4 B3 A#3 A3 G#3 E3")  # only where it lands is said
    assert (heard.guide_tones, heard.missed) == (("3",), ("b7",))


def test_tones_that_the_symbol_writes_say_the_chord() -> None:
    (heard,) = statements("E13b9", "C#5 G#4 F4 D4")
    assert (heard.chord_tones, heard.arrives) == (1.0, True)


def test_two_notes_are_too_few_to_judge() -> None:
    assert statements("Dm7", "F4:2 C5:2") == []


def test_grace_notes_alone_say_little() -> None:
    (heard,) = statements("Cmaj7", "~E4 ~G4 ~B4")
    assert (heard.chord_tones, heard.stated) == (0, True)
