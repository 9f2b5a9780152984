from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from solowright.harmony import Device, read_line
from solowright.music.line import Note, make_line
from solowright.music.tune import Tune
from tests.harmony.tunes import devices, only, type_tune


def marked(tune: Tune, **marks: list[object]) -> list[Device]:
    """The devices of a tune whose notes carry marks, one value a note."""
    notes: list[Note] = list(tune.line.notes)
    for name, values in marks.items():
        notes = [replace(note, **{name: value}) for note, value in zip(notes, values, strict=True)]
    return list(read_line(replace(tune, line=make_line(notes))).devices)


def test_double_stops_are_named_by_interval_and_sound() -> None:
    device = only("A7", "C#5+E5 D5+F#5 C#5+E5")
    assert device.kind == "double-stop"
    assert (device.facts["intervals"], device.facts["sounds"]) == (["third"] * 3, ["sweet"] * 3)
    assert device.facts["degrees"] == [["3", "5"], ["11", "13"], ["3", "5"]]
    assert device.sentence == "Bar 1: double stops in thirds, sweet to the ear."
    tritone = only("A7", "G4+C#5:2")
    assert (tritone.facts["intervals"], tritone.facts["sounds"]) == (["tritone"], ["rough"])
    assert tritone.sentence == "Bar 1: the tritone G–C♯, ♭7 and 3 of A7."


def test_two_tritones_a_half_step_apart_are_told_as_one_move() -> None:
    device = only("A7 D7", "C#4+G4:2 C4+F#4:2")
    assert device.sentence == (
        "Bar 1: the tritone C♯–G (3 and ♭7 of A7) moves down a half step to C–F♯ (♭7 and 3 of D7)."
    )


def test_a_chord_after_single_notes_is_punched_and_chords_alone_are_not() -> None:
    found = devices("A7", "E5 G5 C#4+G4+B4:1")
    assert found[-1].kind == "chord-punch"
    assert found[-1].facts == {"chord": "A7", "degrees": ["3", "b7", "9"], "notes": 3}
    assert devices("A7", "C#4+G4+B4:1 C#4+G4+B4:1") == []


def test_a_trill_is_a_trill_by_its_mark_or_written_out() -> None:
    (device,) = marked(type_tune("A7", "E5:2"), trill=[2])
    assert (device.kind, device.facts["interval"]) == ("trill", 2)
    assert only("A7", "E5 F#5 E5 F#5 E5 F#5 E5 F#5", value="1/4").kind == "trill"
    assert all(device.kind != "trill" for device in devices("A7", "E5 F#5 E5 F#5", key="A"))


def test_harmonics_are_those_that_are_written() -> None:
    (device,) = marked(type_tune("E7", "B4 E5"), entry=["harmonic", "harmonic"])
    assert device.kind == "harmonics"
    assert device.facts == {"notes": ["B4", "E5"], "degrees": ["5", "1"], "over": ["E7"]}
    assert device.sentence == "Bar 1: harmonics: B and E, the 5 and root of E7."


def test_neighbours_on_strings_of_their_own_ring() -> None:
    tune = type_tune("Em7", "F#5 E5 D5 C5 B4")
    (device,) = marked(tune, string=[2, 1, 2, 3, 2], fret=[7, 0, 3, 5, 0])
    assert device.kind == "ringing-run"
    assert device.facts == {"strings": [2, 1, 2, 3, 2]}
    assert all(device.kind != "ringing-run" for device in read_line(tune).devices)


def test_an_open_string_that_comes_back_makes_a_figure() -> None:
    tune = type_tune("E7", "E4 G#4 E4 A4 E4 B4 E4 D5", value="1/4")
    (device,) = marked(tune, string=[1] * 8, fret=[0, 4, 0, 5, 0, 7, 0, 10])
    assert device.kind == "open-string-figure"
    against = ["G#4", "A4", "B4", "D5"]
    assert device.facts == {"open": "E4", "strokes": 4, "against": against, "pulled": False}
    assert len(device.notes) == 8
    fretted = marked(tune, string=[2, 1] * 4, fret=[5, 4, 5, 5, 5, 7, 5, 10])
    assert all(device.kind != "open-string-figure" for device in fretted)


def test_a_grace_note_belongs_to_the_device_it_leads_into() -> None:
    device = only("C7", "~D#4 E4 G4 Bb4 C5")
    assert device.notes == (0, 1, 2, 3, 4)
    assert device.start == Fraction(0)
