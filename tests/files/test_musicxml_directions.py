"""Directions of MusicXML read: sections, the band, tempo, feel."""

from __future__ import annotations

from fractions import Fraction

import pytest

from solowright.music.time import Feel
from tests.files.scores import barline, harmony, note, read, rehearsal, score, sections, symbols, words

WHOLE = note("C4", 16)


def test_sections_come_from_rehearsal_marks_and_section_words() -> None:
    tune = read(score(words("Allegro") + WHOLE, words("VAMP") + WHOLE, rehearsal("B") + WHOLE, WHOLE))
    assert sections(tune) == [("A", 1, 1), ("Vamp", 1, 1), ("B", 2, 1)]
    assert sections(read(score(WHOLE, rehearsal("A") + WHOLE))) == [("Intro", 1, 1), ("A", 1, 1)]


def test_an_upbeat_belongs_to_the_section_it_leads_into() -> None:
    tune = read(score(note("G3", 4), words("Chorus") + WHOLE))
    assert sections(tune) == [("Chorus", 2, 1)]


def test_equal_sections_in_a_row_are_one_played_twice() -> None:
    vamp = words("Vamp") + harmony("A", "dominant") + WHOLE
    tune = read(score(vamp + barline('<repeat direction="backward"/>')))
    assert sections(tune) == [("Vamp", 1, 2)]


def test_what_the_band_does_is_read_from_words() -> None:
    tune = read(score(words("hit 1 2.5 3⅓") + WHOLE, words("break") + WHOLE, words("answer 2") + WHOLE))
    hits, pause, answer = tune.chart.bars
    assert hits.hits == (0, Fraction(3, 2), Fraction(7, 3)) and pause.pause
    assert answer.answered and answer.answer == (1,)


def test_no_chord_is_read_from_words() -> None:
    tune = read(score(harmony("C", "major") + note("C4", 8) + words("N.C.") + note("C4", 8)))
    assert symbols(tune) == "C@0 N.C.@2"


@pytest.mark.parametrize(
    ("mark", "bpm"),
    [
        ('<sound tempo="96.5"/>', 96.5),
        ("<beat-unit>half</beat-unit><per-minute>80</per-minute>", 160.0),
        ("<beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>c. 60</per-minute>", 90.0),
        ("<beat-unit>quarter</beat-unit><per-minute>fast</per-minute>", 120.0),
    ],
)
def test_tempo(mark: str, bpm: float) -> None:
    if "beat-unit" in mark:
        mark = f"<direction><direction-type><metronome>{mark}</metronome></direction-type></direction>"
    assert read(score(mark + WHOLE)).tempo.first == bpm


def test_swing() -> None:
    swing = "<sound><swing><first>3</first><second>2</second><swing-type>16th</swing-type></swing></sound>"
    assert read(score(swing + WHOLE)).feel == Feel(Fraction(3, 2), Fraction(1, 4))


def test_title_and_composer() -> None:
    head = '<identification><creator type="composer"> A. Nobody </creator></identification><part-list>'
    tune = read(score(WHOLE).replace(b"<part-list>", head.encode()))
    assert (tune.title, tune.composer) == ("tune", "A. Nobody")
