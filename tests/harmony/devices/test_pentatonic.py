from __future__ import annotations

from tests.harmony.tunes import devices, only


def test_a_pentatonic_run_turns_as_it_likes() -> None:
    device = only("Am7", "A4 C5 D5 E5 G5 E5 D5 C5")
    assert device.kind == "pentatonic-run"
    assert device.facts == {"scale": "A minor pentatonic", "path": "up and back"}


def test_a_dominant_takes_the_major_pentatonic_on_its_root() -> None:
    assert only("G7", "G4 A4 B4 D5 E5 G5").facts["scale"] == "G major pentatonic"


def test_the_tonics_scale_is_kept_through_the_changes() -> None:
    assert only("D7", "E4 G4 A4 C5 D5 E5 G5", key="Am").facts["scale"] == "A minor pentatonic"
    line = "r:2 A4 C5 D5 E5 G5 E5 D5 C5"
    device = only("A7 | D7", line, key="A")
    assert (device.facts["scale"], len(device.notes)) == ("A minor pentatonic", 8)


def test_another_chord_ends_a_pentatonic_run() -> None:
    assert [device.kind for device in devices("Am7 | D7", "r:3 A4 C5 D5 E5 G5", key="Bb")] == []


def test_a_run_leaves_no_tone_out() -> None:
    assert "pentatonic-run" not in [device.kind for device in devices("Am7", "C4 E4 G4 A4 C5 E5 G5")]


def test_the_blue_note_makes_it_a_blues_cell() -> None:
    device = only("A7", "C5 D5 Eb5 D5 C5 A4")
    assert device.kind == "blues-cell"
    assert device.facts == {"scale": "A blues", "path": "up and back", "blue": "Eb5"}


def test_three_notes_are_no_run() -> None:
    assert devices("Am7", "A4 C5 D5 r:1") == []
