"""ABC files in and out: what each sign means, what is refused and where, round trips."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.errors import FileError, Problem
from solowright.files.abc import read_abc, write_abc
from solowright.files.abc_fields import key_signature, parse_key, parse_tempo
from solowright.music.chart import Bar, Chart, ChordAt, Section
from solowright.music.chord import parse_chord
from solowright.music.pitch import LETTERS, Tone
from solowright.music.time import EIGHTH, Meter
from solowright.music.tune import Key, Tune
from tests.files.test_abc_body import tunes


def read(body: str, head: str = "M:4/4\nL:1/4\nK:C", **rest: object) -> Tune:
    return read_abc(f"X:1\nT:Test\n{head}\n{body}\n".encode(), "x.abc", **rest)  # type: ignore[arg-type]


def names(tune: Tune) -> str:
    return " ".join(note.pitch.name for note in tune.line.notes)


def lengths(tune: Tune) -> list[Fraction]:
    return [note.duration for note in tune.line.notes]


def problems_of(data: bytes | str, **rest: object) -> list[str]:
    with pytest.raises(FileError) as caught:
        read_abc(data if isinstance(data, bytes) else data.encode(), "x.abc", **rest)  # type: ignore[arg-type]
    assert not any("\n" in str(problem) for problem in caught.value.problems)
    return [str(problem) for problem in caught.value.problems]


def refusal(body: str, head: str = "M:4/4\nL:1/4\nK:C") -> str:
    return problems_of(f"X:1\n{head}\n{body}\n")[0]


# What signs mean


@pytest.mark.parametrize(
    ("body", "sounds"),
    [
        ("C, C c c'|", "C3 C4 C5 C6"),
        ("^F F =F F|F4|", "F#4 F#4 F4 F4 F4"),  # an accidental holds to the barline
        ("^F f F, _B|", "F#4 F#5 F#3 Bb4"),  # in every octave, as the standard has it
        ("^^F __B ^C =C|", "F##4 Bbb4 C#4 C4"),
        ("^F4-|F F F2|", "F#4 F4 F4"),  # a tie carries it over the barline, and no further
        ("[K:D] F2 C2|", "F#4 C#4"),
        ("[CEG]2 [^F2A2]|", "G4 E4 C4 A4 F#4"),
        ("{Bc}A4|", "B4 C5 A4"),
        ("C4 & E2 G2|", "E4 C4 G4"),
        ("x2 y C2|", "C4"),
        ("!fermata!C ~D .E uF|", "C4 D4 E4 F4"),
        ('"^solo"C4|', "C4"),
        ("C D % E F\nE F|", "C4 D4 E4 F4"),
        ("C D\\\nE F|", "C4 D4 E4 F4"),
        ("w: la la\nC4|\nW: more", "C4"),
        ("C`D`E`F|", "C4 D4 E4 F4"),
    ],
)
def test_pitches(body: str, sounds: str) -> None:
    assert names(read(body)) == sounds


@pytest.mark.parametrize(
    ("body", "quarters"),
    [
        ("C2 C C/ C/|", "2 1 1/2 1/2"),
        ("C3/2 C/ C2|", "3/2 1/2 2"),
        ("C// C/4 C/2 C3|", "1/4 1/4 1/2 3"),
        ("C>D E<F|", "3/2 1/2 1/2 3/2"),
        ("C>>D E2|", "7/4 1/4 2"),
        ("(3CDE (3:2:2F2G|", "2/3 2/3 2/3 4/3 2/3"),
        ("(5:4:5CDEFG|", "4/5 4/5 4/5 4/5 4/5"),
        ("(3zCD E2|", "2/3 2/3 2"),
        ("C>{g}D E2|", "3/2 0 1/2 2"),
        ("C2-C2-|C4|", "8"),
        ("[C-E-]2 [CE]2|", "4 4"),
    ],
)
def test_lengths(body: str, quarters: str) -> None:
    assert lengths(read(body)) == [Fraction(text) for text in quarters.split()]


def test_tuplets_of_two_and_five_follow_the_meter() -> None:
    compound = read("(2CD (5CDEFG|", "M:6/8\nL:1/8\nK:C")
    assert lengths(compound) == [Fraction(3, 4)] * 2 + [Fraction(3, 10)] * 5
    assert lengths(read("(5CDEFG z2|", "M:4/4\nL:1/4\nK:C"))[0] == Fraction(2, 5)


@pytest.mark.parametrize(
    ("field", "sharps", "name"),
    [
        ("C", 0, "C"), ("Ebm", -6, "Ebm"), ("F#m", 3, "F#m"), ("Dmix", 1, "G"), ("Ddor", 0, "Am"),
        ("E Phrygian", 0, "Am"), ("G minor", -2, "Gm"), ("Flyd", 0, "C"), ("Bloc", 0, "Am"), ("none", 0, "C"),
        ("HP", 2, "D"), ("G clef=bass", 1, "G"), ("A exp ^f ^c", 2, "D"),
    ],
)  # fmt: skip
def test_keys(field: str, sharps: int, name: str) -> None:
    found = parse_key(field)
    assert found.signature == key_signature(sharps)
    assert found.key is not None and found.key.name == name


def test_key_signatures_are_those_of_the_circle_of_fifths() -> None:
    sharp = [LETTERS[letter] for letter in range(7) if key_signature(3)[letter] == 1]
    flat = [LETTERS[letter] for letter in range(7) if key_signature(-4)[letter] == -1]
    assert (sharp, flat) == (["C", "F", "G"], ["D", "E", "A", "B"])
    assert key_signature(0) == (0,) * 7


def test_a_key_with_changes_and_an_octave_clef() -> None:
    tune = read("F B C2|", "L:1/4\nK:D =c _B clef=treble-8")
    assert names(tune) == "F#3 Bb3 C3"
    assert names(read("C4|", "L:1/4\nK:C transpose=-2")) == "Bb3"
    assert read("C4|", "L:1/4\nK:C transpose=-2").key.name == "Bb"


@pytest.mark.parametrize(
    ("field", "tempo"),
    [
        ("1/4=120", 120),
        ("3/8=80", 120),
        ('"Fast" 1/2=60 "ly"', 120),
        ("100", 50),
        ("C=100", 50),
        ("1/8 1/8=90", 90),
    ],
)
def test_tempi(field: str, tempo: float) -> None:
    assert parse_tempo(field, EIGHTH) == tempo


def test_the_unit_length_follows_the_meter_where_it_is_not_given() -> None:
    assert lengths(read("C4 C4|", "M:4/4\nK:C")) == [2, 2]
    assert lengths(read("C4 C4|", "M:2/4\nK:C")) == [1, 1]
    assert lengths(read("C4|", "K:C")) == [2]


def test_marks_fill_the_note() -> None:
    note = read("!2!!string=3!!fret=7!!bend=1/2!v!>!!vibrato!C4|").line.notes[0]
    assert (note.finger, note.string, note.fret, note.stroke) == (2, 3, 7, "down")
    assert note.accent and note.vibrato and note.bends[0].semitones == Fraction(1, 2)
    assert read("TB4|", "L:1/4\nK:C").line.notes[0].trill == 1
    assert read("TE4|", "L:1/4\nK:D").line.notes[0].trill == 2
    assert read("U: T = !accent!\nTE4|").line.notes[0].accent


def test_slurs() -> None:
    assert [note.slurred for note in read("(CD)(EF)|").line.notes] == [False, True, False, True]
    assert [note.slurred for note in read("({g}A4)|").line.notes] == [False, True]
    assert [note.slurred for note in read("C(D2E|F)G3|").line.notes] == [False, False, True, True, False]
    assert not any(note.slurred for note in read("(CDEF|GABc|").line.notes)  # never closed: none


# Order of bars


@pytest.mark.parametrize(
    ("body", "sounds"),
    [
        ("C4:|D4|", "C4 C4 D4"),
        ("C4|:D4:|E4|", "C4 D4 D4 E4"),
        ("|:C4|1D4:|2E4||F4|", "C4 D4 C4 E4 F4"),
        ("|:C4|[1,3 D4:|[2 E4:|F4|", "C4 D4 C4 E4 C4 D4 F4"),
        ("C4::D4:|", "C4 C4 D4 D4"),
        ("|:C4::|D4|", "C4 C4 C4 D4"),
        ("!fine!C4|!D.C.!D4|", "C4 D4 C4"),
        ("!segno!C4|!coda!D4|!D.S.!E4|!coda!F4|", "C4 D4 E4 C4 D4 F4"),
    ],
)
def test_repeats_are_played_out(body: str, sounds: str) -> None:
    assert names(read(body)) == sounds


def test_parts_are_played_in_their_order() -> None:
    tune = read("P:A\nC4|\nP:B\nD4|", "M:4/4\nL:1/4\nP:A(AB)2\nK:C")
    assert names(tune) == "C4 C4 D4 C4 D4"
    assert [name for _, name in tune.chart.section_starts] == ["A", "A", "B", "A", "B"]
    remarks: list[Problem] = []
    assert names(read("P:A\nC4|", "M:4/4\nL:1/4\nP:AZ\nK:C", remarks=remarks)) == "C4"
    assert "P:AZ" in remarks[0].text


def test_bars_cut_by_a_repeat_are_joined() -> None:
    tune = read("C|:D4|E3 C:|F3|]")
    assert [bar.length for bar in tune.chart.bars] == [1, 4, 4, 4, 4, 3]
    tune = read("|:C|D4|E3:|", "M:4/4\nL:1/4\nK:C")
    assert [bar.length for bar in tune.chart.bars] == [1, 4, 4, 4, 3]
    assert tune.chart.pickup
    assert [str(tune.chart.place(note.onset)) for note in tune.line.notes][:2] == [
        "bar 0 beat 4",
        "bar 1 beat 1",
    ]


def test_music_without_barlines_is_cut_by_the_meter() -> None:
    tune = read("C2 D3 E2 ^F F4")
    assert [bar.length for bar in tune.chart.bars] == [4, 4, 4]
    assert names(tune).endswith("F#4 F#4")
    early = read("C2 D3 E2 ^F F4", "%%MIDI nobarlines\nM:4/4\nL:1/4\nK:C")
    assert names(early).endswith("F#4 F4")


def test_a_full_bar_may_end_with_its_line() -> None:
    remarks: list[Problem] = []
    tune = read("C4|^D4\nD4|E4|", remarks=remarks)
    assert names(tune) == "C4 D#4 D#4 E4"
    assert "barline is left out" in remarks[0].text


def test_an_uneven_chord_lasts_as_its_first_note() -> None:
    remarks: list[Problem] = []
    tune = read("[C2E4] D2|[C4G5]|", remarks=remarks)
    assert [(n.pitch.name, n.onset, n.duration) for n in tune.line.notes] == [
        ("E4", 0, 4), ("C4", 0, 2), ("D4", 2, 2), ("G4", 4, 4), ("C4", 4, 4),
    ]  # fmt: skip
    assert "G4 at bar 2 beat 1 rings over" in remarks[0].text


def test_free_meter() -> None:
    assert [bar.meter for bar in read("C3|D/|E5|", "M:none\nL:1/4\nK:C").chart.bars] == [
        Meter(3, 4), Meter(1, 8), Meter(5, 4),
    ]  # fmt: skip


def test_tempo_and_meter_changes() -> None:
    tune = read("C4|[M:3/4][Q:1/4=90]D3|", "M:4/4\nL:1/4\nQ:1/4=60\nK:C")
    assert [bar.meter.beats for bar in tune.chart.bars] == [4, 3]
    assert tune.tempo.changes == ((0, 60), (4, 90))


# Chords, tunes, voices


def test_chord_symbols_make_the_chart() -> None:
    tune = read('"Am7"C2 "D/f#"D2|z4|"N.C."E4|"G(Em)"F4|')
    spans = [(start, chord.symbol if chord else None) for start, _, chord in tune.chart.spans]
    assert spans == [(0, "Am7"), (2, "D/F#"), (8, None), (12, "G")]


def test_words_over_the_staff() -> None:
    remarks: list[Problem] = []
    read('"Fine"C2 "Verse"D2|', remarks=remarks)
    assert [(r.line, r.column) for r in remarks] == [(6, 1), (6, 10)]
    assert refusal('C2 "Gmaj77"D2|').startswith("x.abc:5:4: chord 'Gmaj77'")


def test_a_chart_of_its_own_takes_the_place_of_the_file_s() -> None:
    chord = ChordAt(Fraction(0), parse_chord("E7"))
    chart = Chart((Section("Vamp", (Bar(chords=(chord,)), Bar())),))
    tune = read('"Am"C4|D4|', chart=chart)
    assert tune.chart == chart
    with_pickup = read("G|C4|D3|", chart=chart).chart
    assert with_pickup.pickup and with_pickup.bars[1:] == chart.bars
    assert "3 bars as played, the chart 2" in problems_of("X:1\nL:1/4\nK:C\nC4|D4|E4|\n", chart=chart)[0]
    assert "lasts 3 quarters" in problems_of("X:1\nM:3/4\nL:1/4\nK:C\nC3|D3|\n", chart=chart)[0]


BOOK = (
    "X:1\nT:First\nL:1/4\nK:C\nC4|\n\nX:2\nT:Second\nL:1/4\nK:C\nV:1\nD4|\nV:2 clef=bass-8\nE4|\n\nno music\n"
)


def test_tunes_and_voices_are_chosen() -> None:
    def pitches(part: str | None) -> str:
        return names(read_abc(BOOK.encode(), "x.abc", part=part))

    assert [pitches(part) for part in (None, "1", "2", "second", "2/2", "2/1")] == [
        "C4",
        "C4",
        "D4",
        "D4",
        "E3",
        "D4",
    ]
    assert "no tune '7' in the file; it holds X: 1, 2" in problems_of(BOOK, part="7")[0]
    assert "no voice '9'" in problems_of(BOOK, part="2/9")[0]
    voices = "X:1\nM:4/4\nL:1/4\nV:T\nV:B\nK:C\n[V:T] C4|\n[V:B] D4|\n[V:T] E4|\n"
    assert names(read_abc(voices.encode(), "x.abc")) == "C4 E4"
    assert names(read_abc(voices.encode(), "x.abc", part="B")) == "D4"


def test_encodings() -> None:
    remarks: list[Problem] = []
    tune = read_abc("X:1\nT:Über\nL:1/4\nK:C\nC4|\n".encode("latin-1"), "x.abc", remarks=remarks)
    assert tune.title == "Über" and "Latin-1" in remarks[0].text
    assert read_abc(b"X:1\nT:Caf\\'e &amp; 100\\%\nL:1/4\nK:C\nC4|\n", "x.abc").title == "Café & 100%"
    assert read_abc("\ufeffX:1\r\nT:Dos\r\nL:1/4\r\nK:C\r\nC4|\r\n".encode(), "x.abc").title == "Dos"


# What is refused, and where


@pytest.mark.parametrize(
    ("body", "says"),
    [
        ("C4|C3|C4|", "x.abc:5:4: bar 2 of the notation lasts 3 quarters, 4/4 asks for 4"),
        ("C4|C5|C4|", "x.abc:5:4: bar 2 of the notation lasts 5 quarters"),
        ("C4 =|", "x.abc:5:4: '=' has no meaning"),
        ("C4|\nD4 ]|", "x.abc:6:4: this ] closes no chord"),
        ("[CE|", "x.abc:5:1: this chord is never closed"),
        ("C/0 C3|", "'/0' is not a note length"),
        ("c'''''''''4|", "outside the range"),
        ("z4|", "no notes"),
        ("C>|D4|", "broken rhythm"),
        ("[K:Hm]C4|", "x.abc:5:1: 'K:Hm' is not a key"),
        ("[M:4/5]C4|", "x.abc:5:1: 'M:4/5' is not a meter"),
        ("C4 & D4 E|D4|", "an overlaid voice lasts 5 quarters"),
        ("{C z}D4|", "a rest can't stand"),
        ("(0 C4|", "no tuplet"),
    ],
)
def test_faults_are_named_with_their_place(body: str, says: str) -> None:
    assert says in refusal(body)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        ("", "empty"),
        ("   \n", "empty"),
        ("no music here", "no tune begins here"),
        ("X:1\nT:a\n", "no K: field"),
        ("X:1\nK:C\n", "no notes"),
        ("X:1\nM:x\nK:C\nC4|", "x.abc:2:3: 'M:x' is not a meter"),
        ("X:1\nQ:fast=1\nK:C\nC4|", "is not a tempo"),
        ("X:1\nL:0\nK:C\nC4|", "is not a note length"),
    ],
)
def test_what_is_no_tune(data: str, says: str) -> None:
    assert says in problems_of(data)[0]


def test_binary_data_is_refused() -> None:
    assert "not a text file" in problems_of(b"X:1\0\1\2")[0]


def test_every_problem_is_reported() -> None:
    assert len(problems_of("X:1\nL:1/4\nM:4/4\nK:C\nC4|D3|E5|F4|\n")) == 2
    assert len(problems_of("X:1\nL:1/4\nM:4/4\nK:C\nC4 =|[K:H]D4 ]|\n")) == 3


# Round trip, and anything at all


@settings(max_examples=100, deadline=None)
@given(tunes(), st.sampled_from(["", "Late, 100% & \\ more", "Ø"]))
def test_a_file_gives_back_line_bars_and_chords(tune: Tune, title: str) -> None:
    bars = tune.chart.bars
    changed = replace(
        bars[1], chords=(ChordAt(Fraction(0), parse_chord("Bb7")), ChordAt(Fraction(1, 3), None))
    )
    last = replace(bars[-1], chords=(ChordAt(Fraction(1), parse_chord("F#m7b5/A")),))
    chart = Chart((Section("A", (bars[0], changed)), Section("B", (*bars[2:-1], last))), tune.chart.pickup)
    tune = replace(tune, chart=chart, title=title)
    if not tune.line.notes:
        assert "no notes" in problems_of(write_abc(tune))[0]
        return
    read_back = read_abc(write_abc(tune), "x.abc")
    assert read_back.line == tune.line
    assert [bar.length for bar in read_back.chart.bars] == [bar.length for bar in bars]
    assert [bar.meter for bar in read_back.chart.bars] == [bar.meter for bar in bars]
    assert read_back.chart.spans == chart.spans
    assert [name for _, name in read_back.chart.section_starts] == ["A", "B"]
    assert (read_back.title, read_back.key) == (title or "Untitled", tune.key)


SIGNS = [
    *("C", "^d", "_e'", "z", "|", ":|", "|:", "[", "]", "(", ")", "(3", "{", "}", "-", ">", "<", "&", "%"),
    *('"Am"', '"', "!trill!", "!", "[K:D]", "[M:3/4]", "\n", "2", "/", "/4", "1", "V:2\n", "P:A\n", "w:"),
    *(" ", "[1", "~", "Z4", "x", "y", "=", "+", "\\", "[L:1/16]", "[Q:9]", "\nX:2\n", "K:", "::", "||"),
]


@settings(max_examples=400, deadline=None)
@given(st.lists(st.sampled_from(SIGNS), max_size=40), st.booleans())
def test_only_file_errors_come_out_of_any_signs(signs: list[str], barred: bool) -> None:
    try:
        tune = read("".join(signs) + ("|" if barred else ""))
    except FileError as error:
        assert "\n" not in str(error)
    else:
        assert all(0 <= n.onset <= n.end <= tune.chart.length for n in tune.line.notes)


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=120), st.sampled_from([b"", b"X:1\nK:C\n", b"X:1\nM:"]))
def test_only_file_errors_come_out_of_any_bytes(data: bytes, head: bytes) -> None:
    try:
        read_abc(head + data, "x.abc")
    except FileError as error:
        assert "\n" not in str(error)


def test_the_key_of_a_tune_is_its_signature() -> None:
    assert read("C4|", "L:1/4\nK:Edor").key == Key(Tone(6), minor=True)
