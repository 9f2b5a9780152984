"""Bars of MusicXML read: durations, voices, ties, pitch, meter, and what is wrong in a bar.

Every case is a small score typed here, its meaning worked out by hand.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from solowright.errors import FileError
from solowright.music.time import Meter
from tests.files.scores import START, bar_line, harmony, note, played, read, rest, score, symbols, words

WHOLE = note("C4", 16)


def test_divisions_may_change_and_rests_are_gaps() -> None:
    finer = "<attributes><divisions>8</divisions></attributes>"
    tune = read(score(note("C4", 2) + rest(2) + note("D4", 4) + finer + note("E4", 16)))
    assert played(tune) == "C4@0+1/2 D4@1+1 E4@2+2"


def test_backup_and_forward_lay_voices_over_each_other() -> None:
    upper = note("G4", 16, after="<voice>1</voice>")
    lower = note("C4", 8, after="<voice>2</voice>")
    back, on = "<backup><duration>16</duration></backup>", "<forward><duration>8</duration></forward>"
    tune = read(score(upper + back + on + lower))
    assert played(tune) == "G4@0+4 C4@2+2"


def test_voices_that_meet_on_a_pitch_are_one_note() -> None:
    back = "<backup><duration>16</duration></backup>"
    tune = read(score(note("G4", 4) + rest(12) + back + note("G4", 8, after="<voice>2</voice>") + rest(8)))
    assert played(tune) == "G4@0+2"


def test_chords_keep_their_own_lengths() -> None:
    tune = read(score(note("G4", 16) + note("E4", 8, before="<chord/>") + note("C4", 8, before="<chord/>")))
    assert played(tune) == "G4@0+4 E4@0+2 C4@0+2"


def test_ties_are_joined_over_barlines() -> None:
    start, stop = '<tie type="start"/>', '<tie type="stop"/>'
    tune = read(score(rest(8) + note("C4", 8, after=start), note("C4", 16, after=stop + start),
                      note("C4", 4, after=stop) + note("C4", 12)))  # fmt: skip
    assert played(tune) == "C4@2+7 C4@9+3"


def test_a_tie_that_ends_where_none_began_is_a_note() -> None:
    start, stop = '<tie type="start"/>', '<tie type="stop"/>'
    assert played(read(score(note("C4", 16), note("C4", 16, after=stop)))) == "C4@0+4 C4@4+4"
    tune = read(score(note("C4", 16, after=start), note("D4", 16), note("C4", 16, after=stop)))
    assert played(tune) == "C4@0+4 D4@4+4 C4@8+4"


def test_tuplets_are_exact_where_divisions_round_them() -> None:
    triplet = (
        "<type>eighth</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes>"
        "</time-modification>"
    )
    start = START.replace(">4</divisions>", ">1024</divisions>")
    notes = [note(pitch, length, after=triplet) for pitch, length in (("C4", 341), ("D4", 341), ("E4", 342))]
    tune = read(score("".join(notes) + note("F4", 3072), start=start))
    assert played(tune) == "C4@0+1/3 D4@1/3+1/3 E4@2/3+1/3 F4@1+3"


def test_grace_notes_stand_before_the_next_note() -> None:
    tune = read(score(rest(4) + note("B3", 0, before="<grace/>") + note("C4", 12)))
    assert played(tune) == "B3@1+0 C4@1+3"


def test_pickup_bars_are_bar_0() -> None:
    tune = read(score(note("G3", 4), WHOLE))
    assert tune.chart.pickup and tune.chart.bars[0].length == 1
    assert str(tune.chart.place(tune.line.notes[0].onset)) == "bar 0 beat 4"
    assert str(tune.chart.place(tune.line.notes[1].onset)) == "bar 1 beat 1"


def test_a_full_implicit_first_bar_is_a_pickup_too() -> None:
    data = score(rest(12) + note("G3", 4), WHOLE).replace(b'number="1"', b'number="0" implicit="yes"')
    assert str(read(data).chart.place(Fraction(3))) == "bar 0 beat 4"


def test_meters_change_and_bars_may_be_cut() -> None:
    waltz = "<attributes><time><beats>3</beats><beat-type>4</beat-type></time></attributes>"
    odd = "<attributes><time><beats>3+2</beats><beat-type>8</beat-type></time></attributes>"
    tune = read(score(WHOLE, waltz + note("C4", 12), note("D4", 8), odd + note("E4", 10)))
    assert [(bar.meter, bar.short) for bar in tune.chart.bars] == [
        (Meter(4, 4), None), (Meter(3, 4), None), (Meter(3, 4), Fraction(2)), (Meter(5, 8), None),
    ]  # fmt: skip
    assert played(tune) == "C4@0+4 C4@4+3 D4@7+2 E4@9+5/2"


def test_a_bars_rest_lasts_the_bar() -> None:
    data = score('<note><rest measure="yes"/></note>', "", WHOLE)
    assert played(read(data)) == "C4@8+4"


def test_repeat_signs_in_bars_are_filled_in() -> None:
    style = '<measure-style><measure-repeat type="{}">1</measure-repeat></measure-style>'
    sign = f"<attributes>{style}</attributes>"
    chord = harmony("C", "major")
    last = sign.format("stop") + note("D4", 16)
    tune = read(score(chord + WHOLE, sign.format("start") + rest(16), rest(16), last))
    assert bar_line(tune) == "C4 | C4 | C4 | D4"
    assert symbols(tune) == "C@0 C@4 C@8"


def test_pitch_sounds_as_written_whatever_the_clefs_octave() -> None:
    below = START.replace("</line>", "</line><clef-octave-change>-1</clef-octave-change>")
    assert read(score(note("E3", 16), start=below)).line.notes[0].pitch.name == "E3"


def test_transposition_reaches_notes_chords_and_key() -> None:
    sax = (
        "<key><fifths>3</fifths><mode>minor</mode></key>",
        "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic>"
        "<octave-change>-1</octave-change></transpose>",
    )
    start = START.replace("<time>", f"{sax[0]}<time>").replace("</attributes>", f"{sax[1]}</attributes>")
    tune = read(score(harmony("F#", "minor-seventh") + note("G#4", 16), start=start))
    assert tune.line.notes[0].pitch.name == "F#3"
    assert symbols(tune) == "Em7@0"
    assert tune.key.name == "Em"


def test_transposition_without_letters_spells_simply() -> None:
    start = START.replace("</attributes>", "<transpose><chromatic>3</chromatic></transpose></attributes>")
    assert read(score(note("A3", 16), start=start)).line.notes[0].pitch.name == "C4"


@pytest.mark.parametrize(
    ("fifths", "mode", "name"),
    [(0, "major", "C"), (-3, "minor", "Cm"), (7, "major", "C#"), (-7, "minor", "Abm"), (2, "dorian", "Bm")],
)
def test_keys(fifths: int, mode: str, name: str) -> None:
    key = f"<key><fifths>{fifths}</fifths><mode>{mode}</mode></key>"
    assert read(score(WHOLE, start=START.replace("<time>", f"{key}<time>"))).key.name == name


@pytest.mark.parametrize(
    ("content", "cause"),
    [
        ("<attributes><time><senza-misura/></time></attributes>", "senza misura"),
        ("<attributes><time><beats>4</beats><beat-type>5</beat-type></time></attributes>", "'4/5' is not"),
        ("<attributes><divisions>0</divisions></attributes>", "divisions must be more than 0"),
        ("<attributes><key><fifths>9</fifths></key></attributes>", "9 sharps or flats"),
        (note("C4", 4).replace("<octave>", "<alter>0.5</alter><octave>"), "between the frets"),
        (note("C4", 4).replace("<octave>4", "<octave>11"), "outside the range"),
        (note("C4", 4).replace("<octave>4", "<octave>"), "octave '' is not a number"),
        ("<note><pitch><step>C</step><octave>4</octave></pitch></note>", "neither duration nor type"),
        ("<note><duration>4</duration></note>", "neither pitch nor rest"),
        (note("C4", 4).replace(">4</duration>", ">-4</duration>"), "less than nothing"),
        (note("C4", 4).replace(">4</duration>", f">{'9' * 5000}</duration>"), "duration '9999"),
        (note("C4", 999_999_999), "longer than 1000 beats"),
        (note("C4", 4, "<string>0</string>"), "string 0"),
        ("<backup><duration>8</duration></backup>", "before its bar begins"),
        ('<sound tempo="0"/>', "a tempo of 0"),
        ('<sound tempo="quick"/>', "tempo 'quick' is not a number"),
        (words("D.S."), "finds no segno"),
    ],
)
def test_problems_name_their_bar(content: str, cause: str) -> None:
    with pytest.raises(FileError) as caught:
        read(score(WHOLE, content))
    (problem,) = caught.value.problems
    assert cause in problem.text and "bar 2: " in problem.text


def test_every_problem_is_reported_in_order() -> None:
    bad = harmony("C", "purple") + note("C4", 16, "<string>99</string>")
    with pytest.raises(FileError) as caught:
        read(score(bad, bad))
    found = [problem.text.split(": ")[0] for problem in caught.value.problems]
    assert found == ["bar 1", "bar 1", "bar 2", "bar 2"]
    assert str(caught.value).startswith("tune.musicxml:4:")
