"""Notes of MusicXML read: how they are played."""

from __future__ import annotations

from fractions import Fraction

import pytest

from solowright.music.line import Bend, Note
from tests.files.scores import START, note, read, score

WHOLE = note("C4", 16)


def only_note(*marks: str, **places: str) -> Note:
    return read(score(note("A4", 16, *marks, **places))).line.notes[0]


def test_marks_of_one_note() -> None:
    made = only_note("<string>2</string><fret>10</fret><fingering>4</fingering><up-bow/>")
    assert (made.string, made.fret, made.finger, made.stroke, made.entry) == (2, 10, 4, "up", "pick")
    assert only_note("<tap/>").entry == "tap"
    assert only_note("<fingering>T</fingering>").finger is None
    assert only_note(after="<notehead>x</notehead>").dead
    assert only_note(after="<play><mute>palm</mute></play>").palm_mute
    assert only_note(after='<notations><tied type="let-ring"/></notations>').let_ring
    marks = "<articulations><accent/><staccato/></articulations>"
    articulated = only_note(after=f"<notations>{marks}</notations>")
    assert articulated.accent and articulated.staccato
    wave = '<notations><ornaments><wavy-line type="start"/></ornaments></notations>'
    assert only_note(after=wave).vibrato
    assert not only_note(after=wave.replace("<wavy", "<trill-mark/><wavy")).vibrato


@pytest.mark.parametrize(
    ("mark", "semitones"),
    [
        ("<trill-mark/>", 2),
        ('<trill-mark trill-step="half"/>', 1),
        ("<trill-mark/><accidental-mark>flat</accidental-mark>", 1),
        ("<trill-mark/><other-ornament>trill 4</other-ornament>", 4),
    ],
)
def test_trills_go_to_the_next_step_of_the_key(mark: str, semitones: int) -> None:
    assert only_note(after=f"<notations><ornaments>{mark}</ornaments></notations>").trill == semitones


def test_a_trill_follows_the_signature() -> None:
    start = START.replace("<time>", "<key><fifths>-3</fifths></key><time>")
    trill = "<notations><ornaments><trill-mark/></ornaments></notations>"
    assert read(score(note("D4", 16, after=trill), start=start)).line.notes[0].trill == 1


def test_bends_are_heights_from_distances() -> None:
    made = only_note(
        "<bend><bend-alter>2</bend-alter></bend><bend><bend-alter>-1</bend-alter><release/></bend>"
        "<bend><bend-alter>0.5</bend-alter></bend>"
    )
    assert made.bends == (Bend(Fraction(2)), Bend(Fraction(1), "release"), Bend(Fraction(3, 2)))
    made = only_note(
        "<bend><bend-alter>1</bend-alter><pre-bend/></bend>"
        "<bend><bend-alter>0</bend-alter><release/></bend>"
    )
    assert made.bends == (Bend(Fraction(1), "prebend"), Bend(Fraction(0), "release"))


@pytest.mark.parametrize(("mark", "fields"), [
    ("<scoop/>", (-2, 0)), ('<plop line-length="long"/>', (5, 0)),
    ('<falloff line-length="short"/>', (0, -1)), ("<doit/>", (0, 2)),
])  # fmt: skip
def test_slides_from_and_to_nowhere(mark: str, fields: tuple[int, int]) -> None:
    made = only_note(after=f"<notations><articulations>{mark}</articulations></notations>")
    assert (made.slide_from, made.slide_to) == fields


def test_natural_harmonics_sound_where_the_string_does() -> None:
    place = "<string>6</string><fret>7</fret>"
    at_fret = note("B2", 16, f"<harmonic><natural/></harmonic>{place}")
    sounding = note("B3", 16, f"<harmonic><natural/><sounding-pitch/></harmonic>{place}")
    for written in (at_fret, sounding):
        made = read(score(written)).line.notes[0]
        assert (made.pitch.name, made.entry, made.fret) == ("B3", "harmonic", 7)


def entries(*notes: str) -> list[tuple[str | None, bool]]:
    return [(made.entry, made.slurred) for made in read(score("".join(notes))).line.notes]


def test_slurs_lead_into_every_note_but_the_first() -> None:
    start = '<notations><slur type="start" number="{}"/></notations>'
    stop = '<notations><slur type="stop" number="{}"/></notations>'
    notes = (note("C4", 4, after=start.format(1)), note("D4", 4), note("E4", 4, after=stop.format(1)))
    assert entries(*notes, note("F4", 4)) == [(None, False), (None, True), (None, True), (None, False)]
    assert entries(note("C4", 8, after=start.format(1)), note("D4", 8)) == [(None, False), (None, False)]


@pytest.mark.parametrize(("tag", "entry"), [("hammer-on", "hammer"), ("pull-off", "pull")])
def test_hammer_ons_and_pull_offs_mark_the_note_they_lead_to(tag: str, entry: str) -> None:
    start, stop = f'<{tag} type="start"/>', f'<{tag} type="stop"/>'
    expected = [(None, False), (entry, False), (None, False)]
    middle = note("D4", 4, stop)
    assert entries(note("C4", 4, start), middle, note("E4", 8)) == expected
    assert entries(note("C4", 4), middle, note("E4", 8)) == expected
    assert entries(note("C4", 4, start), note("D4", 4), note("E4", 8)) == expected


def test_slides_and_glissandi_lead_to_a_note() -> None:
    for tag in ("slide", "glissando"):
        start, stop = (f'<notations><{tag} type="{end}"/></notations>' for end in ("start", "stop"))
        assert entries(note("C4", 8, after=start), note("E4", 8, after=stop))[1][0] == "slide"


def test_tuning() -> None:
    lines = "".join(
        f'<staff-tuning line="{line}"><tuning-step>{step}</tuning-step>'
        f"<tuning-octave>{octave}</tuning-octave></staff-tuning>"
        for line, (step, octave) in enumerate([("D", 2), ("A", 2), ("D", 3), ("G", 3), ("B", 3), ("E", 4)], 1)
    )
    start = START.replace("</attributes>", f"<staff-details>{lines}</staff-details></attributes>")
    assert read(score(WHOLE, start=start)).tuning == (64, 59, 55, 50, 45, 38)
