from __future__ import annotations

from fractions import Fraction

import pytest

from solowright.harmony.words import beat_words, listed, printed, printed_chord, triad_words, where
from solowright.music.chart import Place


@pytest.mark.parametrize(
    ("typed", "text"),
    [
        ("Bb7b9", "B♭7♭9"), ("F#m7b5", "F♯m7♭5"), ("Gbb", "G♭♭"), ("bb7", "♭♭7"), ("#11", "♯11"),
        ("Db/Ab", "D♭/A♭"), ("Bb bebop dominant", "B♭ bebop dominant"), ("A dorian b2", "A dorian ♭2"),
        ("Ebb4", "E♭♭4"), ("C blues", "C blues"),
    ],
)  # fmt: skip
def test_typed_accidentals_are_printed(typed: str, text: str) -> None:
    assert printed(typed) == text


def test_places_are_said_as_players_say_them() -> None:
    assert where(Place(5, Fraction(1)), Place(5, Fraction(3))) == "Bar 5"
    assert where(Place(5, Fraction(5, 2)), Place(5, Fraction(3))) == "Bar 5, the and of 2"
    assert where(Place(5, Fraction(3)), Place(6, Fraction(1))) == "Bars 5–6"
    assert beat_words(Place(1, Fraction(4, 3))) == "the second triplet of 1"
    assert beat_words(Place(1, Fraction(11, 4))) == "the a of 2"
    assert beat_words(Place(1, Fraction(16, 7))) == "just after the e of 2"
    assert beat_words(Place(1, Fraction(13, 5))) == "just after the and of 2"
    assert beat_words(Place(1, Fraction(21, 10))) == "just after beat 2"
    assert beat_words(Place(1, Fraction(29, 10))) == "the end of beat 2"


def test_lists_and_triads_read_as_prose() -> None:
    assert listed(["♯9", "5", "♭7"]) == "♯9, 5 and ♭7"
    assert triad_words("Bb") == "B♭ major triad"
    assert triad_words("C#dim") == "C♯ diminished triad"


def test_a_minor_chord_with_a_major_seventh_reads_in_a_line_of_text() -> None:
    assert printed_chord("FmMaj7") == "Fm(maj7)"
    assert printed_chord("Fm7") == "Fm7"
