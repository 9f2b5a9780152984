from __future__ import annotations

from dataclasses import replace

import pytest

from solowright.harmony.character import Character, find_character
from solowright.music.chart import Chart, Section
from solowright.music.pitch import parse_tone
from solowright.music.tune import Key
from tests.harmony.tunes import type_chart


def character(chart: str, key: str = "C") -> Character:
    typed = type_chart(chart)
    return find_character(typed, Key(parse_tone(key)), 0, len(typed.bars))


@pytest.mark.parametrize(("chart", "kind"), [
    ("C7 | F7 | C7 | G7", "blues"), ("Dm7 | % | Em7 | %", "vamp"), ("C7 | % | % | %", "vamp"),
    ("Dm7 | G7 | Cmaj7 | Am7", "changes"), ("Dm7 | Em7", "changes"), ("- | -", "no chords"),
])  # fmt: skip
def test_what_the_changes_are(chart: str, kind: str) -> None:
    assert character(chart).kind == kind


def test_bars_in_which_the_band_is_silent_are_a_break() -> None:
    typed = type_chart("A7 | A7")
    bars = tuple(replace(bar, pause=True) for bar in typed.bars)
    assert find_character(Chart((Section("A", bars),)), Key(parse_tone("A")), 0, 2).kind == "break"


def test_cadences_name_their_homes() -> None:
    found = character("Dm7 G7 | Cmaj7 | Bm7b5 E7b9 | Am7")
    assert [cadence.chords for cadence in found.cadences] == [
        ("Dm7", "G7", "Cmaj7"), ("Bm7b5", "E7b9", "Am7"),
    ]  # fmt: skip
    assert [cadence.bar for cadence in found.cadences] == [2, 4]
    assert found.keys == ("C", "Am")


def test_a_dominant_on_its_way_to_another_is_no_home() -> None:
    assert [cadence.chords for cadence in character("D7 | G7 | Cmaj7").cadences] == [("G7", "Cmaj7")]


@pytest.mark.parametrize(("chart", "motion"), [
    ("Am7 | D7 | Gmaj7", "fourths"), ("C#m7 | Bm7 | Am7", "steps down"), ("C | Db | Eb", "steps up"),
    ("C7 | Eb7 | Gb7 | A7", "minor thirds up"), ("C7 | A7 | F#7", "minor thirds down"),
])  # fmt: skip
def test_roots_that_keep_moving_one_way_are_a_chain(chart: str, motion: str) -> None:
    (chain,) = character(chart).chains
    assert (chain.motion, len(chain.chords)) == (motion, len(chart.split("|")))
