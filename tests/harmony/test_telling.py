"""What is said, and what is kept for the player: runners-up, short names, the two choices."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from random import Random

from benchmarks.planting import PLANTERS, plant

from solowright.harmony import read_line
from solowright.music.chart import Chart, Section
from tests.harmony.tunes import devices, type_tune


def test_the_next_best_telling_is_kept_for_the_player() -> None:
    (link,) = (found for found in devices("Am7 | Gm7", "r:2 Gb5 Eb5 Cb5 Ab4 G4 Bb4:1") if found.runner_up)
    assert link.kind == "half-step-link"
    (other,) = link.runner_up
    assert (other.kind, other.facts["chords"]) == ("superimposed-chord", ["G#m7"])
    assert other.notes == link.notes and other.runner_up == ()


def test_runners_up_lie_inside_the_device_and_are_of_another_kind() -> None:
    generator = Random(3)
    for kind in PLANTERS:
        for device in read_line(plant(kind, generator).tune).devices:
            for other in device.runner_up:
                assert set(other.notes) <= set(device.notes)
                assert other.kind != device.kind and other.saved > 0


def test_every_kind_has_a_sentence_and_a_short_name_for_its_bracket() -> None:
    generator = Random(5)
    told = {}
    for kind in PLANTERS:
        for device in read_line(plant(kind, generator).tune).devices:
            told[device.kind] = device
    assert set(told) == set(PLANTERS)
    for device in told.values():
        assert 0 < len(device.short) <= 40
        assert device.sentence.startswith("Bar") and device.sentence.endswith(".")


def test_what_is_played_on_the_hits_is_said_once() -> None:
    tune = type_tune("E7", "D4+G#4:1/2 r:1 D4+G#4:1/2")
    bar = replace(tune.chart.bars[0], hits=(Fraction(0), Fraction(3, 2)))
    reading = read_line(replace(tune, chart=Chart((Section("A", (bar,)),))))
    assert {device.kind for device in reading.devices} == {"double-stop", "band-hit"}
    assert [sentence.text for sentence in reading.sentences] == [
        "Bar 1: with the band, two hits in a row, on D and G♯, the ♭7 and 3 of E7."
    ]


def test_a_shape_on_the_hits_is_said_in_one_sentence() -> None:
    tune = type_tune("E7 | %", "D4+G#4 F4+B4 G#4+D5 B4+F5 r:4", value=1)
    bar = replace(tune.chart.bars[0], hits=tuple(map(Fraction, range(4))))
    reading = read_line(replace(tune, chart=Chart((Section("A", (bar,)),))))
    assert [sentence.text for sentence in reading.sentences] == [
        "Bar 1: a tritone moved up by minor thirds, four of them in all, together G♯°7; "
        "all on the band's four hits."
    ]


def test_changes_of_the_lines_own_are_said_in_one_sentence() -> None:
    line = "Eb4 Gb4 Bb4 Db5 C5 Ab4 Gb4 Eb4 F4 Ab4 C5 Eb5 Db5 Bb4 Ab4 F4"
    reading = read_line(type_tune("Dm7 G7 | Cmaj7 A7", line))
    assert reading.sentences[0].text == (
        "Bars 1–2: the line has changes of its own, E♭m7–A♭7–Fm7–B♭m7 against Dm7–G7–Cmaj7–A7."
    )
    assert not any("the line spells" in sentence.text for sentence in reading.sentences)


def test_an_enclosure_is_told_once_in_a_while() -> None:
    line = "r:5/2 A4 Ab4 F#4 G4:5/2 F#4 F4 D#4 E4:5/2 A4 Ab4 F#4 G4:1"
    reading = read_line(type_tune("Cmaj7 | % | % | % | %", line))
    assert [device.kind for device in reading.devices].count("enclosure") == 3
    assert sum("surround" in sentence.text for sentence in reading.sentences) == 1


def test_a_phrase_that_ends_on_a_chord_says_so() -> None:
    reading = read_line(type_tune("A7", "E4:1 G4:1 C#4+G4+A4:2"))
    assert reading.sentences[-1].text == (
        "The phrase lands on a full A7 with A, the root, on top (bar 1, beat 3)."
    )
    reading = read_line(type_tune("A7", "E4:1 G4:1 C#4+A4:2"))
    assert reading.sentences[-1].text == (
        "The phrase lands on C♯–A, with A, the root of A7, on top (bar 1, beat 3)."
    )


def test_a_phrase_said_again_is_not_explained_again() -> None:
    phrase = "D4 F4 A4 C5 A4 F4 D4:1 r:4"
    reading = read_line(type_tune("Dm7 | % | % | %", f"{phrase} {phrase}"))
    assert [device.kind for device in reading.devices].count("chord-arpeggio") == 2
    assert [sentence.text for sentence in reading.sentences][-1] == (
        "Bar 3: bar 1 again, note for note."
    )
    assert sum("lands on" in sentence.text for sentence in reading.sentences) == 1


def test_a_solo_is_made_of_its_devices_only_if_they_are_much_of_it() -> None:
    few = read_line(type_tune("Dm7 | G7 | %", "D4 F4 A4 C5 r:4 G4 D5 Ab4 E5 A4 Eb5 C4 F#4 B4"))
    assert " Devices in it: chord arpeggios (bar 1)." in few.summary
