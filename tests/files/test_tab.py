"""Tablature: what every sign means, how long notes last, and what is wrong with wrong rows."""

from __future__ import annotations

import re
from dataclasses import fields, replace
from fractions import Fraction

import pytest

from solowright.errors import FileError
from solowright.files.sheet import read_sheet, write_sheet
from solowright.music.line import Bend, Line, Note
from solowright.music.pitch import Pitch
from solowright.music.time import Time
from solowright.music.tune import Tune

COUNT = "1 & 2 & 3 & 4 &"
STRINGS = "eBGDAE"


def tab(count: str = COUNT, under: str = "", **rows: str) -> str:
    """A system of one bar: rows by string name, the empty ones filled in."""
    width = max(map(len, (count + " ", *rows.values())))
    lines = [
        f"        {count}",
        *(f"     {name}|{rows.get(name, '').ljust(width, '-')}|" for name in STRINGS),
    ]
    return "\n".join([*lines, under])


def sheet(line: str, chart: str = "| A7 | D7 | E7 | A7 |", header: str = "key: A") -> str:
    return f"{header}\n{chart}\nline:\n{line}\n"


def read(line: str, chart: str = "| A7 | D7 | E7 | A7 |", header: str = "key: A") -> tuple[Note, ...]:
    return tune_of(line, chart, header).line.notes


def tune_of(line: str, chart: str = "| A7 | D7 | E7 | A7 |", header: str = "key: A") -> Tune:
    return read_sheet(sheet(line, chart, header).encode(), "x.solo")


def problem(line: str, chart: str = "| A7 | D7 | E7 | A7 |", header: str = "key: A") -> str:
    with pytest.raises(FileError) as found:
        read(line, chart, header)
    return str(found.value)


def times(notes: tuple[Note, ...]) -> list[tuple[Time, Time]]:
    return [(note.onset, note.duration) for note in notes]


def said(note: Note) -> dict[str, object]:
    """What a note says beyond its pitch, place in time, string and fret."""
    plain = ("pitch", "onset", "duration", "string", "fret", "spelled")
    return {
        field.name: getattr(note, field.name)
        for field in fields(Note)
        if field.name not in plain and getattr(note, field.name) != field.default
    }


# --- time


def test_a_note_lasts_until_the_next_attack_on_any_string() -> None:
    assert times(read(tab(e="-5---7", G="---------6"))) == [(0, 1), (1, 1), (2, 2)]


def test_the_last_note_lasts_to_the_end_of_what_is_typed() -> None:
    assert times(read(tab(e="-5") + "\n" + tab())) == [(0, 8)]


def test_a_comma_ends_a_note_early() -> None:
    assert times(read(tab(e="-5---,---7-,"))) == [(0, 1), (2, Fraction(1, 2))]


def test_a_comma_ends_only_the_note_on_its_string() -> None:
    notes = read(tab(e="-5---,", B="-5-------,"))
    assert times(notes) == [(0, 1), (0, 2)]


def test_a_comma_on_a_silent_string_ends_what_sounds() -> None:
    assert times(read(tab(e="-5", B="-5", E="-----,"))) == [(0, 1), (0, 1)]


def test_a_bar_that_begins_with_dashes_holds_over_the_barline() -> None:
    assert times(read(tab(e="-------------5") + "\n" + tab(e="-----7"))) == [(3, 2), (5, 3)]


def test_an_equals_sign_says_how_long_a_note_lasts_whatever_is_struck() -> None:
    assert times(read(tab(e="-----5-7", A="-0=3"))) == [
        (0, 3),
        (1, Fraction(1, 2)),
        (Fraction(3, 2), Fraction(5, 2)),
    ]


def test_bars_stand_side_by_side_and_labels_skip_bars() -> None:
    two = "   1 2 3 4   1 2 3 4\ne|-5-------|-----7---|\n" + "".join(
        f"{name}|---------|---------|\n" for name in "BGDAE"
    )
    assert times(read(two)) == [(0, 6), (6, 2)]
    notes = read(tab(e="-5") + "\nbar 4\n" + tab(e="-7"))
    assert times(notes) == [(0, 4), (12, 4)]
    chart = "[A] x2\n| A7 |\n[B]\n| D7 |\n[A]\n| E7 |"
    assert times(read("[B]\n" + tab(e="-5") + "\n[A]\n" + tab(e="-7"), chart)) == [(8, 4), (12, 4)]
    assert times(read("bar 2 [A]\n" + tab(e="-5"), chart)) == [(4, 4)]


@pytest.mark.parametrize(
    ("count", "row", "onsets"),
    [
        ("1 e & a 2 3 4", "-1-2-3-4-5-", "0 1/4 1/2 3/4 1"),
        ("1 t l 2 t l 3 4", "-1-2-3-4-5-6-", "0 1/3 2/3 1 4/3 5/3"),
        ("1 + 2 and 3 4", "-1-2-3-4---", "0 1/2 1 3/2"),
        ("1 . . . . 2 3 4", "-1-2-3-4-5-6", "0 1/5 2/5 3/5 4/5 1"),
        ("1 +3/16 2 3 4", "-1-2-----3-", "0 3/16 1"),
        ("1 a 2 3 4", "-1-2-3-4-", "0 3/4 1 2"),
        ("1   2   3   4", "-1---2---3---4", "0 1 2 3"),
        ("| 1 2 3 4 |", "---1-2-3-4", "0 1 2 3"),
    ],
)
def test_the_count_row(count: str, row: str, onsets: str) -> None:
    notes = read(tab(count, e=row))
    assert [note.onset for note in notes] == [Fraction(text) for text in onsets.split()]


def test_the_count_goes_by_the_meter() -> None:
    assert times(read(tab("1 2 3 4 5 6", e="-1-----2"), "| {6/8} A |")) == [(0, Fraction(3, 2)), (1.5, 1.5)]
    assert times(read(tab("1 2", e="-1-2"), "| {2/2} A |")) == [(0, 2), (2, 2)]
    assert times(read(tab("& 4 &", e="-1-2-3"), "| A | D |", "pickup: 1.5")) == [
        (0, 0.5),
        (0.5, 0.5),
        (1, 0.5),
    ]
    assert times(read(tab("1 2", e="-1-2"), "| {short 2} A | D |")) == [(0, 1), (1, 1)]


def test_two_digit_frets_stand_under_the_count_with_either_digit() -> None:
    assert times(read(tab("1  2  3  4", e="-10-12-5", G="---------11"))) == [(0, 1), (1, 1), (2, 1), (3, 1)]


# --- pitch


def test_pitches_follow_tuning_and_capo_and_are_spelled_by_chord_and_key() -> None:
    notes = read(tab(e="-0---4", E="---------3"), "| C#7 |", "key: C#m")
    assert [note.pitch.name for note in notes] == ["E4", "G#4", "G2"]
    notes = read(tab(e="-0---4"), "| Gbm7 |", "key: Gb")
    assert [note.pitch.name for note in notes] == ["Fb4", "Ab4"]
    notes = read(tab(e="-0", E="-0").replace("E|", "D|"), header="tuning: drop d\ncapo: 2")
    assert [note.pitch.name for note in notes] == ["F#4", "E2"]
    assert [note.fret for note in notes] == [0, 0]


@pytest.mark.parametrize(
    ("fret", "name"), [(12, "E5"), (7, "B5"), (19, "B5"), (5, "E6"), (4, "G#6"), (9, "G#6")]
)
def test_natural_harmonics_sound_as_on_the_string(fret: int, name: str) -> None:
    (note,) = read(tab(e=f"-<{fret}>"))
    assert (note.entry, note.fret, note.pitch.name) == ("harmonic", fret, name)


def test_names_respell_and_name_odd_harmonics() -> None:
    under = "names   Gb  Bb+.  E6"
    notes = read(tab(e="-2---6---<7>", B="-----5", under=under))
    assert [note.pitch.name for note in notes] == ["Gb4", "Bb4", "E4", "E6"]


# --- signs


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("-5h7", {"entry": "hammer"}),
        ("-7p5", {"entry": "pull"}),
        ("-5/7", {"entry": "slide"}),
        ("-7\\5", {"entry": "slide"}),
        ("-5s7", {"entry": "slide"}),
        ("-5t7", {"entry": "tap"}),
        ("-5_7", {"slurred": True}),
        ("-5_h-7", {"slurred": True, "entry": "hammer"}),
    ],
)
def test_what_leads_from_one_fret_to_the_next(row: str, expected: dict[str, object]) -> None:
    count = "1 & 2 & 3 & 4 &" if len(row) == 4 else "1   2   3   4"
    first, second = read(tab(count, e=row))
    assert (said(first), said(second)) == ({}, expected)


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("-7", {}),
        ("t12", {"entry": "tap"}),
        ("h7", {"entry": "hammer"}),
        ("_h7", {"entry": "hammer", "slurred": True}),
        ("/7", {"slide_from": -2}),
        ("\\7", {"slide_from": 2}),
        ("(4)/7", {"slide_from": -3}),
        ("-7/", {"slide_to": 2}),
        ("-7\\", {"slide_to": -2}),
        ("-7\\(3)", {"slide_to": -4}),
        ("-7~", {"vibrato": True}),
        ("-7~~~", {"vibrato": True}),
        ("-7---~~", {"vibrato": True}),
        ("-x", {"dead": True}),
        ("-x7", {"dead": True}),
        ("-7m", {"palm_mute": True}),
        ("-7*", {"let_ring": True}),
        ("-7>'", {"accent": True, "staccato": True}),
        ("-7tr9", {"trill": 2}),
        ("-7b9", {"bends": (Bend(Fraction(2)),)}),
        ("-7b7.5", {"bends": (Bend(Fraction(1, 2)),)}),
        ("-7b9r7", {"bends": (Bend(Fraction(2)), Bend(Fraction(0), "release"))}),
        ("-7pb9r8", {"bends": (Bend(Fraction(2), "prebend"), Bend(Fraction(1), "release"))}),
        ("-7b9~>", {"bends": (Bend(Fraction(2)),), "vibrato": True, "accent": True}),
    ],
)
def test_what_stands_around_a_fret(row: str, expected: dict[str, object]) -> None:
    if not row.startswith("-"):
        row = "-" * (9 - re.search(r"\d+$", row).start()) + row  # the fret under beat 3
    (note,) = read(tab(e=row))
    assert said(note) == expected


def test_signs_may_stand_apart_from_their_frets() -> None:
    notes = read(tab(e="-5-h-7--/9---p-7"))
    assert [note.entry for note in notes] == [None, "hammer", "slide", "pull"]


def test_a_slide_behind_a_rest_or_another_string_comes_from_nowhere() -> None:
    notes = read(tab(e="-5-,--/7"))
    assert (notes[1].entry, notes[1].slide_from) == (None, -2)
    notes = read(tab(e="-5----/7", B="---5"))
    assert (notes[2].entry, notes[2].slide_from) == (None, -2)


def test_a_slide_off_does_not_lead_on() -> None:
    notes = read(tab(e="-7\\,-5"))
    assert (notes[0].slide_to, notes[1].entry) == (-2, None)


def test_grace_notes_stand_before_the_next_note() -> None:
    notes = read(tab(e="------g5h7", B="-----5", under="fingers       1 3"))
    grace, *_ = [note for note in notes if note.grace]
    assert (grace.onset, grace.fret, grace.finger) == (Fraction(2), 5, 1)
    hammered = next(note for note in notes if note.entry == "hammer")
    assert (hammered.onset, hammered.fret, hammered.finger) == (Fraction(2), 7, 3)


def test_fingers_and_picks_stand_below() -> None:
    under = "fingers 1   31  1\npicks   d   .*  u"
    notes = read(tab(e="-5---7", B="-----5---6", under=under))
    assert [note.finger for note in notes] == [1, 3, 1, 1]
    assert [(note.entry, note.stroke) for note in notes] == [
        ("pick", "down"),
        (None, None),
        ("pick", None),
        ("pick", "up"),
    ]


def test_one_finger_under_a_chord_is_a_barre() -> None:
    notes = read(tab(e="-5", B="-5", G="-5", under="fingers 1"))
    assert [note.finger for note in notes] == [1, 1, 1]


# --- what is wrong


@pytest.mark.parametrize(
    ("line", "place", "words"),
    [
        (tab("", e="-5"), "5:1", "a count row is missing"),
        (tab("1 & 2 & 3 &"), "4:9", "bar 1: too few beats: beat 4 isn't counted"),
        (tab("1 2 3 4 5"), "4:9", "bar 1: too many beats: '5' is outside the bar, which has 4 beats (4/4)"),
        (tab("1 & 1 & 3 & 4"), "4:9", "doesn't go forward at '1'"),
        (tab("1 . & 2 3 4"), "4:9", "can't share a beat"),
        (tab(B="--5"), "6:10", "fret 5 stands under no count"),
        (tab(B="-57"), "6:9", "no neck has a fret 57; between two notes write a dash (5-7)"),
        (tab(B="-5q"), "6:10", "'q' means nothing"),
        (tab(B="-7b"), "6:10", "must say how far"),
        (tab(B="-7-(7)"), "6:11", "held goes on with dashes"),
        (tab(B="-~5"), "6:9", "stands behind no note"),
        (tab(B="-5h"), "6:10", "leads to no note"),
        (tab(B="-5p7"), "6:11", "a pull-off goes down"),
        (tab(B="-7h5"), "6:11", "a hammer-on goes up"),
        (tab(B="-5hp7"), "6:10", "keep one of them"),
        (tab(B="-5tr3"), "6:10", "a trill goes to a higher fret"),
        (tab(B="-5b3"), "6:10", "can't sound lower"),
        (tab(B="-5/(3)"), "6:10", "goes the other way"),
        (tab(B="-5=0"), "6:10", "lasts longer than nothing"),
        (tab(B="-5=17"), "6:9", "beyond the end of the chart"),
        (tab(B="-<6>"), "6:9", "no natural harmonic is known at fret 6"),
        (tab(B="-5,"), "6:10", "',' stands under no count"),
        (tab(B="---------------g5"), "6:23", "no note follows this grace note"),
        (tab(B="-5", under="fingers   1"), "11:11", "no note stands over '1'"),
        (tab(B="-5", under="fingers 5"), "11:9", "not a finger"),
        (tab(B="-5", under="fingers 12"), "11:9", "2 signs for the 1 notes"),
        (tab(B="-5", under="picks   x"), "11:9", "not a pick stroke"),
        (tab(B="-5h7", under="picks     d"), "11:11", "not picked"),
        (tab(B="-5", under="names   F"), "6:9", "sounds E4"),
        (tab(B="-5", under="fingres 1"), "11:1", "did you mean 'fingers'?"),
        (tab(B="-5").replace("B|", "F|"), "6:6", "named F, its string is B"),
        (tab(B="-5").replace("     G|", "\t    G|"), "7:1", "tab character"),
        (tab(B="-5").replace("-5--", "-5-"), "6:23", "make all rows equally long"),
        (tab(B="-5").replace("-5-", "-5|"), "6:10", "make all rows equally long"),
        ("\n".join(tab(B="-5").splitlines()[:-1]), "5:1", "5 rows for 6 strings"),
        (tab(B="-5").rstrip()[:-1], "10:24", "not closed"),
        ("bar 5\n" + tab(B="-5"), "4:1", "the chart has no bar 5"),
        (tab() + "\n" + tab() + "\nbar 2\n" + tab(), "20:1", "has passed bar 2"),
        ("[Bridge]\n" + tab(), "4:1", "no section [Bridge]"),
        ("\n\n".join([tab()] * 5), "41:8", "the line goes on after the chart's 4 bars"),
    ],
)
def test_wrong_rows_are_told_with_their_place(line: str, place: str, words: str) -> None:
    found = problem(line)
    assert words in found
    assert found.startswith(f"x.solo:{place}: ")


# --- writing


def test_what_is_written_looks_like_tablature() -> None:
    typed = r"""
bar 1
         1 & 2 & 3 & 4 &   1 t l 2 t l 3 & 4 &
      e|-----------------|---------------------|
      B|-5h7p5-----------|-8-10-8--------------|
      G|-------7---,-----|------------9-7-9----|
      D|-----------------|---------------------|
      A|-----------------|---------------------|
      E|-----------------|---------------------|
fingers  1 3 1 3
""".replace("-8-10-8--------------|", "-8-9-8---------------|").replace(
        "------------9-7-9----|", "-------9-7-9---------|"
    )
    tune = tune_of(typed)
    written = write_sheet(tune).decode().partition("line:\n")[2]
    assert written == typed


def test_long_silence_is_left_out() -> None:
    tune = tune_of(tab(e="-5---,") + "\nbar 9\n" + tab(e="-7"), "[A] x10\n| A7 |")
    written = write_sheet(tune).decode()
    assert "bar 9" in written
    assert "bar 2" not in written
    assert read_sheet(written.encode(), "x").line == tune.line


def test_a_pitch_off_its_fret_is_written_as_abc() -> None:
    """Strings and frets that contradict the pitch can't stand in tablature; ABC keeps both."""
    tune = tune_of(tab(e="-5"))
    (note,) = tune.line.notes
    wrong = replace(tune, line=Line((replace(note, pitch=Pitch(note.pitch.tone, 5)),)))
    written = write_sheet(wrong)
    assert b"e|" not in written
    assert read_sheet(written, "x.solo").line == wrong.line
