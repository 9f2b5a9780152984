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
