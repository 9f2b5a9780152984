"""Sequences, shifted shapes, links by half step."""

from __future__ import annotations

import pytest

from solowright.music.pitch import plain
from tests.harmony.tunes import devices, only


def test_triads_moved_by_minor_thirds_are_one_shape() -> None:
    device = only("C7", "C4 E4 G4 Eb4 G4 Bb4 Gb4 Bb4 Db5 A4 C#5 E5", value="1/3")
    assert device.kind == "shape-shift"
    assert device.facts == {
        "interval": 3, "times": 4, "shape": "major triad", "scale": "C half-whole diminished",
        "whole": None, "roots": ["C", "Eb", "Gb", "A"], "lands": None,
    }  # fmt: skip
    assert device.sentence == (
        "Bar 1: major triads up by minor thirds (C, E♭, G♭, A), all inside C half-whole diminished."
    )


def test_where_a_moved_shape_lands_is_told() -> None:
    line = "C5:1/3 E5:1/3 G5:1/3 A4:1/3 C#5:1/3 E5:1/3 Gb4:1/3 Bb4:1/3 Db5:1/3 Eb4:1/3 G4:1/3 Bb4:1/3 F4:2"
    device = devices("C7 | F", line)[0]
    assert device.facts["lands"] == {
        "note": "F4", "degree": "1", "over": "F", "move": 2, "voice": "first note",
    }  # fmt: skip
    assert device.sentence.endswith("the first note of the last goes on a whole step up to F, the root of F.")


def test_double_stops_climbing_by_minor_thirds_are_one_shape() -> None:
    device = only("E7", "D4+G#4 F4+B4 G#4+D5 B4+F5", value=1)
    assert (device.kind, device.facts["shape"], device.facts["interval"]) == ("shape-shift", "tritone", 3)
    assert device.sentence == (
        "Bar 1: a tritone moved up by minor thirds, four of them in all, together G♯°7."
    )


@pytest.mark.parametrize("interval", [-4, -3, -2, -1, 1, 2, 3, 4])
def test_a_shape_is_found_whatever_it_is_moved_by(interval: int) -> None:
    cell = (64, 71, 69)
    line = " ".join(plain(midi + interval * count).name for count in range(4) for midi in cell)
    device = only("E7 | %", line)
    assert (device.kind, device.facts["interval"], device.facts["times"]) == ("shape-shift", interval, 4)
    assert device.facts["shape"] == "0 +7 +5"


def test_a_cell_moved_by_steps_of_the_scale_is_a_sequence() -> None:
    device = only("Cmaj7 | %", "C4 D4 E4 G4 D4 E4 F4 A4 E4 F4 G4 B4 A4:2")
    assert device.kind == "sequence"
    assert device.facts == {
        "cell": ["C4", "D4", "E4", "G4"], "interval": "diatonic", "steps": 1, "times": 3,
        "scale": "C ionian", "broken": 0, "lands_on": {"bar": 2, "beat": 3.0}, "note": "A4",
        "degree": "13", "over": "Cmaj7",
    }  # fmt: skip


def test_threes_across_the_beat_land_where_they_land() -> None:
    device = only("Cmaj7 | %", "C5 B4 A4 B4 A4 G4 A4 G4 F4 G4 F4 E4 G4:2")
    assert (device.kind, device.facts["times"]) == ("sequence", 4)
    assert device.facts["lands_on"] == {"bar": 2, "beat": 3.0}


def test_a_cell_that_moves_with_its_chords_is_a_sequence() -> None:
    line = "B3 D4 F#4 A4 Bb3 Db4 F4 Ab4 A3 C4 E4 G4 Ab3 Cb4 Eb4 Gb4"
    device = only("Bm7 Bbm7 | Am7 Abm7", line)  # and not a bar said again lower besides
    assert (device.kind, device.facts["interval"], device.facts["follows"]) == ("sequence", -1, True)


def test_a_scale_is_no_sequence() -> None:
    assert only("Cmaj7 | %", "C4 D4 E4 F4 G4 A4 B4 C5").kind == "scale-run"


def test_a_cell_of_three_heard_twice_is_no_sequence() -> None:
    assert all(device.kind != "sequence" for device in devices("Cmaj7 | %", "C4 F4 D4 D4 G4 E4 r:1"))


def test_the_chord_in_the_half_step_links_two_chords() -> None:
    device = devices("Am7 | Gm7", "r:2 Gb5 Eb5 Cb5 Ab4 G4 Bb4:1")[0]
    assert device.kind == "half-step-link"
    assert device.facts == {
        "from_chord": "Am7", "through": "Abm7", "to_chord": "Gm7", "lands": "G4", "degree": "1"
    }  # fmt: skip
    up = devices("Gm7 | Am7", "r:2 Ab4 Cb5 Eb5 Gb5 G5 C6:1")[0]
    assert up.kind == "half-step-link"
    assert up.facts["through"] == "G#m7"


def test_no_link_where_the_chords_are_not_a_step_apart() -> None:
    assert all(device.kind != "half-step-link" for device in devices("Am7 | Dm7", "r:2 Gb5 Eb5 Cb5 Ab4 A4"))


def test_a_shape_of_two_notes_is_called_by_its_interval() -> None:
    device = devices("Gm | Dm", "r:1 A4 Bb4 Ab4 A4 G4 Ab4 A4:1")[0]
    assert device.sentence == (
        "Bar 1, beat 2: a half step up, moved down by half steps, played three times in all; "
        "the first note of the last goes on a whole step up to A, the fifth of Dm."
    )


def test_a_note_struck_twice_is_no_interval() -> None:
    device = devices("Gm | Dm", "r:1 A4 A4 Ab4 Ab4 G4 G4 Bb4:1")[0]
    assert device.sentence.startswith("Bar 1, beat 2: a note struck twice, moved down by half steps")
