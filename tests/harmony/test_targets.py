from __future__ import annotations

import pytest

from solowright.harmony import read_line
from tests.harmony.tunes import type_tune


@pytest.mark.parametrize(
    ("line", "approach"),
    [
        ("r:3 C4 F#4 G4:4", "half step below"),
        ("r:3 C4 A4 G4:4", "whole step above"),
        ("r:3 A4 F#4 G4:4", "enclosure"),
        ("r:3 C4 D4 G4:4", "fourth below"),
        ("r:3 C4 G4 G4:4", "same note"),
        ("r:4 G4:4", "start of the phrase"),
    ],
)
def test_how_a_target_is_reached(line: str, approach: str) -> None:
    reading = read_line(type_tune("C | C", line))
    assert reading.targets[-1].approach == approach


def test_targets_are_strong_beats_changes_and_phrase_ends() -> None:
    tune = type_tune("C F | G7", "C4 D4 E4 C4 A4 G4 F4 E4 D4 r:3/2 B4 r:1")
    places = [tune.chart.place(tune.line.notes[target.note].onset) for target in read_line(tune).targets]
    assert [(place.bar, float(place.beat)) for place in places] == [(1, 1.0), (1, 3.0), (2, 1.0), (2, 3.0)]


def test_a_non_chord_tone_on_a_strong_beat_is_a_target_like_any_other() -> None:
    reading = read_line(type_tune("Cmaj7 | Cmaj7", "r:3 G4 F4 F#4:3"))
    assert reading.notes[reading.targets[-1].note].degree == "#11"
