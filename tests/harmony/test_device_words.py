"""What a teacher would not say: sentences that were false, empty or clumsy, heard on small tunes."""

from __future__ import annotations

from fractions import Fraction

import pytest

from solowright.harmony import read_line
from solowright.harmony.device_words import device_sentence
from solowright.harmony.section_words import line_sentences, summary_text
from solowright.harmony.words import scale_words
from solowright.music.chart import Place
from tests.harmony.tunes import devices, type_tune


def told(chart: str, line: str, kind: str, key: str = "C") -> list[str]:
    return [device.sentence for device in devices(chart, line, key) if device.kind == kind]


@pytest.mark.parametrize(("chart", "line", "sentence"), [
    ("Bb7", "G4 F4 D4 Bb3", "Bar 1: B♭6 over B♭7, the chord's own triad with the sixth: 13, 5, 3, 1."),
    ("D7", "B4 D5 F#5 A5", "Bar 1: D6 over D7, the chord's own triad with the sixth: 13, 1, 3, 5."),
    ("Dm7", "B3 D4 F4 A4", "Bar 1: Dm6 over Dm7, the chord's own triad with the sixth: 13, 1, ♭3, 5."),
])  # fmt: skip
def test_the_chords_own_triad_with_its_sixth_is_not_another_chord(
    chart: str, line: str, sentence: str
) -> None:
    (device,) = (found for found in devices(chart, line) if found.kind == "superimposed-chord")
    assert device.sentence == sentence
    assert device.short == sentence.removeprefix("Bar 1: ").split()[0]


def test_a_minor_seventh_chord_on_the_root_of_a_dominant_is_a_blues_sound() -> None:
    facts = {"chords": ["Am7"], "over": "A7", "degrees": ["b7", "5", "#9", "1"], "character": "scale"}
    place = Place(10, Fraction(1))
    assert device_sentence("superimposed-chord", facts, place, place, 0) == (
        "Bar 10: Am7 over A7: the minor third rubs against the chord's own, a blues sound."
    )


@pytest.mark.parametrize(("degrees", "how"), [
    (["5", "#9", "1", "#5"], "partly outside the chord"), (["b2", "4", "b6", "7"], "outside the chord"),
])  # fmt: skip
def test_a_chord_that_shares_tones_is_only_partly_outside(degrees: list[str], how: str) -> None:
    facts = {"chords": ["Fmaj7"], "over": "A+7#9", "degrees": degrees, "character": "outside"}
    place = Place(13, Fraction(1))
    text = device_sentence("superimposed-chord", facts, place, place, 0)
    assert text.startswith(f"Bar 13: the line spells Fmaj7 over A+7♯9, {how}: ")


def test_the_line_stays_on_the_last_chord_only_right_after_the_change() -> None:
    (stays,) = told("Dm7 | G7", "r:4 D4 F4 A4 C5", "superimposed-chord")
    assert stays == "Bar 2: the line stays on Dm7 while the band already plays G7: 5, ♭7, 9, 11."
    (later,) = told("Dm7 | G7", "r:4 r:3 D4 F4 A4 C5", "superimposed-chord")
    assert later == "Bar 2, beat 4: the line spells Dm7 over G7: 5, ♭7, 9, 11."


def test_the_line_is_early_only_right_before_the_change() -> None:
    (early,) = told("G7 | Dm7", "r:2 D4 F4 A4 C5 D5", "superimposed-chord")
    assert early == "Bar 1, beat 3: the line is on Dm7 while the band still plays G7: 5, ♭7, 9, 11."
    (before,) = told("G7 | % | Dm7", "D4 F4 A4 C5", "superimposed-chord")
    assert before == "Bar 1: the line spells Dm7 over G7: 5, ♭7, 9, 11."


def test_half_steps_between_two_tones_of_a_chord_say_which_they_are() -> None:
    assert told("E7", "D4 C#4 C4 B3 A#3 A3 G#3", "chromatic-run") == [
        "Bar 1: half steps down from D to G♯, the ♭7 and 3 of E7."
    ]
    assert told("Dm7 | G7", "r:2 A4 Ab4 G4 Gb4 F4", "chromatic-run") == [
        "Bars 1–2: half steps down from A to F."
    ]


def test_notes_between_a_scale_that_is_not_told_are_not_counted() -> None:
    line = "Eb5 D5 Db5 C5 Bb4 A4 Ab4 G4 Gb4 F4"
    (sentence,) = told("Bbm7 Eb7", line, "scale-run", "Ab")
    assert sentence == "Bar 1: down by step from E♭ to F, the ninth of E♭7, with half steps slipped in."


def test_a_sequence_says_what_it_lands_on() -> None:
    (sentence,) = told("Am7 | Dm7", "C5 B4 A4 B4 A4 G4 A4 G4 F4:2", "sequence")
    assert sentence.endswith("in sequence down by step along the scale, three times, landing on F, "
                             "the minor third of Dm7 (bar 2, beat 1).")  # fmt: skip
    (broken,) = told("B7 | C#m7", "D#5 B4 C#5 A4 B4 G#4 A4 F#4 E4:2", "sequence", "E")
    assert broken == ("Bar 1: broken thirds down the B mixolydian scale, D♯–B first, landing on E, "
                      "the minor third of C♯m7 (bar 2, beat 1).")  # fmt: skip


def test_a_sequence_by_half_an_octave_is_by_tritones() -> None:
    facts = {"cell": ["Ab4", "E4", "F4", "Db4"], "interval": -6, "times": 2, "note": "D4", "degree": "5",
             "over": "Gm7", "lands_on": {"bar": 10, "beat": 1.0}}  # fmt: skip
    place = Place(8, Fraction(1))
    assert device_sentence("sequence", facts, place, place, 0) == (
        "Bar 8: a four-note cell (A♭, E, F, D♭) in sequence down by tritones, twice, landing on D, "
        "the fifth of Gm7 (bar 10, beat 1)."
    )


def test_a_pentatonic_without_direction_does_not_claim_whole_bars() -> None:
    facts = {"scale": "C minor pentatonic", "path": "broken"}
    sentence = device_sentence("pentatonic-run", facts, Place(19, Fraction(5, 2)), Place(20, Fraction(1)), 0)
    assert sentence == "Bars 19–20: the C minor pentatonic scale in broken order."


@pytest.mark.parametrize(("name", "said"), [
    ("A locrian natural 6", "G harmonic minor"), ("Eb ionian #5", "C harmonic minor"),
    ("F# locrian natural 6", "E harmonic minor"), ("F lydian", "F lydian"),
])  # fmt: skip
def test_modes_nobody_calls_by_name_are_told_by_their_parent(name: str, said: str) -> None:
    assert scale_words(name) == said


def test_a_root_that_stays_the_root_is_not_worth_a_sentence() -> None:
    def texts(chart: str, tone: str) -> list[str]:
        tune = type_tune(chart, f"r:2 {tone} {tone} {tone} {tone}", Fraction(1))
        return [said.text for said in read_line(tune).sentences]

    assert not any("common" in text for text in texts("Bbmaj7 | Bbm7", "Bb4"))
    assert texts("D7 | Gm7", "D5")[0] == (
        "Bars 1–2: D is common to the chords, the root of D7 and the fifth of Gm7."
    )


def test_a_guide_tone_that_is_played_is_not_said_to_be_missing() -> None:
    reading = read_line(type_tune("E7 | A7", "D4 C#4 C4 B3 A#3 A3 G#3 E3 A3 C#4 E4 G4"))
    assert (reading.statements[0].missed, reading.statements[0].passed) == (("b7",), ("b7",))
    assert "left to the band: E7 in bar 1, its seventh only a step in a chromatic run." in (
        reading.sections[0].text
    )


def test_what_is_absent_and_what_is_passed_through_are_told_apart() -> None:
    text = line_sentences(1, 2, [(3, "A7", ("3", "b7"), ("b7",))], (0, 0), [])[0]
    assert text.endswith("A7 in bar 3, without its third, its seventh only a step in a chromatic run")


def test_a_single_phrase_ends_on_a_chord_tone_or_does_not() -> None:
    assert "Its one phrase ends on a chord tone." in summary_text(4, 9, [], 0, 0, (1, 1), [], 0)
    assert "Its one phrase does not end on a chord tone." in summary_text(4, 9, [], 0, 0, (0, 1), [], 0)
