"""MusicXML written: what is written is read back the same, and what can't be is named."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from solowright.errors import InputError
from solowright.files.musicxml_harmony import KINDS, read_harmony, write_harmony
from solowright.files.musicxml_notes import SLIDE_LENGTHS
from solowright.files.musicxml_read import read_musicxml
from solowright.files.musicxml_write import write_musicxml
from solowright.music.chart import Bar, Chart, Section
from solowright.music.chord import parse_chord
from solowright.music.line import Note, make_line
from solowright.music.pitch import Tone, parse_pitch
from solowright.music.tune import Key, Tune
from tests.files.any_tunes import tunes
from tests.files.scores import harmony, note, rest, score


def again(tune: Tune) -> Tune:
    return read_musicxml(write_musicxml(tune), "again.musicxml")


def small(*notes: Note, bars: int = 1, key: Key = Key(Tone(0))) -> Tune:  # noqa: B008
    return Tune("t", Chart((Section("A", (Bar(),) * bars),)), make_line(notes), key=key)


def at(pitch: str, onset: str, duration: str, **marks: object) -> Note:
    return replace(Note(parse_pitch(pitch), Fraction(onset), Fraction(duration)), **marks)  # type: ignore[arg-type]


def written(tune: Tune) -> etree._Element:
    return etree.fromstring(write_musicxml(tune))


def as_held(tune: Tune, strings: bool) -> Tune:
    """The tune as far as MusicXML and one written voice hold it: see the module's docstring."""
    sections = tuple(
        replace(section, name=f"{number} {section.name}".strip())
        for number, section in enumerate(tune.chart.sections)
    )
    bars = tune.chart.bars
    chart = Chart(sections, tune.chart.pickup or (bars[0].short is not None and len(bars) > 1))
    events = list(tune.line.events())
    attacks = [event[0].onset for event in events if not event[0].grace] + [chart.length]
    notes: list[Note] = []
    for event in events:
        slurred = event[0].slurred and event is not events[0]
        end = min(max(one.end for one in event), next(a for a in attacks if a > event[0].onset))
        for one in event:
            held = replace(
                one,
                duration=one.duration and end - one.onset,
                slurred=slurred,
                entry=None if one.entry == "pick" and not one.stroke else one.entry,
                slide_from=nearest_slide(one.slide_from),
                slide_to=nearest_slide(one.slide_to),
                vibrato=one.vibrato and not one.trill,
            )
            notes.append(held if strings else replace(held, string=None, fret=None))
    return replace(tune, title=tune.title or "again", chart=chart, line=make_line(notes))


def nearest_slide(semitones: int) -> int:
    size = min(SLIDE_LENGTHS.values(), key=lambda length: abs(length - abs(semitones)))
    return 0 if not semitones else size if semitones > 0 else -size


@settings(max_examples=60, deadline=None)
@given(tunes(), st.booleans())
def test_what_is_written_is_read_back(tune: Tune, strings: bool) -> None:
    tune = as_held(tune, strings)
    try:
        back = again(tune)
    except InputError as error:
        assert "too fine" in str(error)
        return
    assert back.line.notes == tune.line.notes
    assert back.chart.section_starts == tune.chart.section_starts
    assert replace(back, chart=tune.chart) == tune
    assert back.chart.bars == tune.chart.bars and back.chart.pickup == tune.chart.pickup


# What MusicXML, or one written voice, can't hold


def test_a_note_that_rings_over_the_next_is_cut_off_there() -> None:
    tune = small(at("C3", "0", "4"), at("E4", "2", "2"))
    assert [(note.pitch.name, note.duration) for note in again(tune).line.notes] == [("C3", 2), ("E4", 2)]


def test_picking_is_only_told_by_its_stroke() -> None:
    tune = small(at("C3", "0", "2", entry="pick"), at("C3", "2", "2", entry="pick", stroke="up"))
    assert [note.entry for note in again(tune).line.notes] == [None, "pick"]


def test_slides_from_and_to_nowhere_are_short_medium_or_long() -> None:
    tune = small(at("C3", "0", "4", slide_from=-7, slide_to=3))
    (back,) = again(tune).line.notes
    assert (back.slide_from, back.slide_to) == (-5, 2)


def test_equal_sections_in_a_row_come_back_as_one_played_twice() -> None:
    section = Section("Vamp", (Bar(),))
    tune = replace(small(), chart=Chart((section, section)))
    assert again(tune).chart == Chart((replace(section, times=2),))
    assert again(again(tune)).chart == again(tune).chart


def test_a_rhythm_too_fine_to_write_is_an_error_with_its_place() -> None:
    with pytest.raises(InputError, match="bar 1 beat 1"):
        write_musicxml(small(at("C4", "0", "1/100"), at("D4", "1/100", "1/100")))


def test_control_characters_are_left_out() -> None:
    assert again(replace(small(), title="Rope\x0b \x00Walk\ud800")).title == "Rope Walk"


# How it is written


def test_the_clef_shows_the_octave_and_the_pitch_sounds() -> None:
    root = written(small(at("E2", "0", "4", string=6, fret=0)))
    clefs = [(clef.findtext("sign"), clef.findtext("clef-octave-change")) for clef in root.iter("clef")]
    assert clefs == [("G", "-1"), ("TAB", None)]
    assert [pitch.findtext("octave") for pitch in root.iter("pitch")] == ["2", "2"]
    assert root.find(".//transpose") is None


def test_without_strings_there_is_no_tablature_and_no_mark_is_lost() -> None:
    tune = small(at("E4", "0", "2"), at("G4", "2", "2", entry="hammer", slurred=True))
    root = written(tune)
    assert root.find(".//staves") is None
    assert [mark.get("type") for mark in root.iter("hammer-on")] == ["start", "stop"]
    assert again(tune) == tune


def test_hammer_ons_of_two_notes_lead_along_their_strings() -> None:
    strings = [at(pitch, "0", "2", string=string) for pitch, string in (("G4", 1), ("D4", 2))]
    hammered = [
        at(pitch, "2", "2", string=string, entry="hammer") for pitch, string in (("A4", 1), ("E4", 2))
    ]
    pairs: dict[str | None, list[str | None]] = {}
    for element in written(small(*strings, *hammered)).iter("note"):
        for mark in element.iter("hammer-on"):
            pairs.setdefault(mark.get("number"), []).append(element.findtext(".//string"))
    assert pairs == {"1": ["1", "1"], "2": ["2", "2"]}


def test_a_pull_off_comes_from_its_own_string_though_another_is_nearer() -> None:
    before = [at("G4", "0", "2", string=2, fret=8), at("E4", "0", "2", string=1, fret=0)]
    after = at("F4", "2", "2", string=2, fret=6, entry="pull")
    starts = [
        element.findtext(".//string")
        for element in written(small(*before, after)).iter("note")
        for mark in element.iter("pull-off")
        if mark.get("type") == "start"
    ]
    assert starts == ["2"]


def test_accidentals_are_shown_once_a_bar_and_cancelled() -> None:
    line = [at(pitch, str(beat), "1") for beat, pitch in enumerate(("F#4", "F#4", "F4", "F5"))]
    line += [at("F#4", "4", "1"), at("Bb3", "5", "1")]
    root = written(small(*line, bars=2, key=Key(Tone(4))))  # G: one sharp
    shown = [element.findtext("accidental") for element in root.iter("note") if element.find("rest") is None]
    assert shown == [None, None, "natural", "natural", None, "flat"]


def test_an_accidental_is_not_shown_again_over_a_tie() -> None:
    line = [at("F#4", "2", "4"), at("F#4", "6", "2")]
    root = written(small(*line, bars=2))
    shown = [element.findtext("accidental") for element in root.iter("note") if element.find("rest") is None]
    assert shown == ["sharp", None, "sharp"]


def test_beams_of_a_dotted_figure() -> None:
    line = [at("C4", "0", "3/4"), at("D4", "3/4", "1/4"), at("E4", "1", "1/4"), at("F4", "5/4", "3/4")]
    notes = list(written(small(*line)).iter("note"))
    assert [[(beam.get("number"), beam.text) for beam in note.iter("beam")] for note in notes[:4]] == [
        [("1", "begin")], [("1", "end"), ("2", "backward hook")],
        [("1", "begin"), ("2", "forward hook")], [("1", "end")],
    ]  # fmt: skip


def test_tablature_is_told_on_every_note_of_a_tie() -> None:
    root = written(small(at("E4", "0", "5", string=1, fret=0), bars=2))
    lower = [element for element in root.iter("note") if element.findtext("staff") == "2"]
    tied = [element for element in lower if element.find("tie") is not None]
    assert [element.findtext(".//fret") for element in tied] == ["0", "0"]


def test_a_slur_spans_its_ties() -> None:
    line = [at("C4", "0", "5"), at("D4", "5", "3", slurred=True), at("E4", "8", "4")]
    root = written(small(*line, bars=3))
    slurs = [
        (element.findtext("pitch/step"), mark.get("type"), [tie.get("type") for tie in element.iter("tie")])
        for element in root.iter("note")
        for mark in element.iter("slur")
    ]
    assert slurs[0] == ("C", "start", ["start"])
    assert slurs[1][:2] == ("D", "stop")


# Chords


SYMBOLS = [f"Bb{symbol}" for _, symbol in KINDS] + [
    "D13b9", "G7alt", "C7b9#9", "F#m7b5/E", "Cmaj7#11", "A7sus4", "E7(#9)", "C6/9", "Am7add11", "C7no3",
    "Gdimmaj7", "F9#11b13", "B7b5b9", "Eaugmaj7",
]  # fmt: skip


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_chord_symbols_come_back_as_typed(symbol: str) -> None:
    assert read_harmony(write_harmony(parse_chord(symbol))) == parse_chord(symbol)


@pytest.mark.parametrize("symbol", SYMBOLS)
def test_degrees_alone_say_the_chord(symbol: str) -> None:
    element = write_harmony(parse_chord(symbol))
    kind = element.find("kind")
    assert kind is not None
    kind.attrib.pop("text")
    back = read_harmony(element)
    assert back is not None
    assert (back.root, back.degrees, back.bass) == (
        parse_chord(symbol).root, parse_chord(symbol).degrees, parse_chord(symbol).bass,
    )  # fmt: skip


def test_a_13_flat_9_is_an_altered_degree() -> None:
    element = write_harmony(parse_chord("D13b9"))
    assert element.findtext("kind") == "dominant-13th"
    assert [child.text for child in element.iterfind("degree/*")] == ["9", "-1", "alter"]


def test_a_file_read_and_written_is_read_the_same() -> None:
    data = score(harmony("G", "dominant") + rest(2) + note("B4", 6) + note("D5", 8))
    tune = read_musicxml(data, "x.musicxml")
    assert again(tune) == tune
