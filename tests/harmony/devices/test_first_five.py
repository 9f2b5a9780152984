"""The five devices that every line is made of: what counts as one, and what doesn't."""

from __future__ import annotations

from solowright.harmony import read_line
from tests.harmony.tunes import devices, only, type_tune


def kinds(chart: str, line: str) -> list[str]:
    return [device.kind for device in devices(chart, line)]


def test_a_chord_spelled_out_is_an_arpeggio() -> None:
    device = only("Dm7", "D4 F4 A4 C5")
    assert device.kind == "chord-arpeggio"
    assert device.facts == {"chord": "Dm7", "degrees": ["1", "b3", "5", "b7"], "path": "up"}


def test_an_arpeggio_goes_on_into_the_ninth() -> None:
    assert only("Cmaj7", "E4 G4 B4 D5").facts["degrees"] == ["3", "5", "7", "9"]
    assert only("G9", "B3 D4 F4 A4").facts["degrees"] == ["3", "5", "b7", "9"]


def test_the_flat_ninth_for_the_root_makes_a_diminished_seventh() -> None:
    device = only("G7b9", "B3 D4 F4 Ab4")
    assert (device.kind, device.facts["chords"]) == ("superimposed-chord", ["Bdim7"])
    assert device.sentence == (
        "Bar 1: a diminished arpeggio, B°7 over G7♭9: 3, 5, ♭7 and ♭9."
    )


def test_another_seventh_chord_over_the_charts_is_named() -> None:
    device = only("A7 | %", "B4 D5 F#5 A5 G#5 E5 D5 B4")
    assert (device.kind, device.facts["chords"]) == ("superimposed-chord", ["Bm7", "E7"])
    assert device.sentence == "Bar 1: the line plays Bm7–E7 against A7, partly outside the chord."


def test_the_seventh_chord_on_the_tritone_is_the_substitute() -> None:
    device = only("A7", "Eb4 G4 Bb4 Db5")
    assert (device.kind, device.facts["chords"]) == ("superimposed-chord", ["Eb7"])
    assert device.sentence == "Bar 1: E♭7 over A7, its tritone substitute: ♯11, ♭7, ♭9, 3."


def test_the_charts_next_chord_played_early_is_called_so() -> None:
    device = devices("Dmaj7 | Am7", "r:2 G5 E5 C5 A4 C5:1")[0]
    assert device.sentence == (
        "Bar 1, beat 3: the line is on Am7 while the band still plays Dmaj7: 11, 9, ♭7, 5."
    )


def test_a_half_diminished_chord_with_third_and_seventh_alters_the_dominant() -> None:
    assert only("A7", "G4 Bb4 Db5 F5").facts["chords"] == ["Gm7b5"]
    assert kinds("A7#5b9", "G4 Bb4 C#5 E#5") == []  # the chord as written


def test_a_written_sharp_ninth_belongs_to_the_chords_arpeggio() -> None:
    device = only("F#7#9", "A#3 C#4 E4 A4")
    assert (device.kind, device.facts["degrees"]) == ("chord-arpeggio", ["3", "5", "b7", "#9"])


def test_a_triad_on_the_tritone_is_spelled_with_flats() -> None:
    assert only("C7", "Gb4 Bb4 Db5 Gb5").facts["triad"] == "Gb"


def test_three_notes_are_an_upper_triad_only_where_they_stand_apart() -> None:
    assert kinds("G7", "E4 G#4 B4") == ["upper-triad"]
    assert kinds("G7", "r F#4 E4 G#4 B4 C5") == ["upper-triad"]
    assert kinds("G7", "r Bb3 E4 G#4 B4 C5") == []  # leapt into
    assert kinds("G7", "r F#4 E4 G#4 B4 A5") == []  # leapt on
    assert kinds("G7", "r F#4 G#4 E4 B4 C5") == []  # turned inside


def test_the_major_third_before_a_minor_chords_upper_triad_speaks_against_it() -> None:
    assert kinds("Cm7", "F4 Eb4 G4 Bb4") == ["upper-triad"]
    assert kinds("Cm7", "E4 Eb4 G4 Bb4") == []


def test_the_chords_own_triad_is_an_arpeggio_not_an_upper_triad() -> None:
    assert only("Am7", "A3 C4 E4").kind == "chord-arpeggio"
    assert only("G7", "D4 B3 G3 D3").kind == "chord-arpeggio"


def test_a_triad_of_chord_tones_without_the_root_is_an_upper_triad() -> None:
    device = only("Am7", "C4 E4 G4")
    assert device.kind == "upper-triad"
    assert device.facts == {
        "triad": "C", "over": "Am7", "degrees": ["b3", "5", "b7"], "character": "rootless"
    }  # fmt: skip


def test_an_upper_triad_names_the_tensions_it_gives() -> None:
    device = only("G7", "Bb4 D5 F5 Bb5")
    assert (device.facts["triad"], device.facts["degrees"]) == ("Bb", ["#9", "5", "b7"])
    device = only("G7", "E5 B4 G#4 E4")
    assert (device.facts["triad"], device.facts["degrees"]) == ("E", ["13", "b9", "3"])


def test_three_notes_outside_the_chord_are_no_upper_triad_but_six_are() -> None:
    assert kinds("Cmaj7", "Db4 F4 Ab4") == []
    assert kinds("Cmaj7", "Db4 F4 Ab4 Db5") == []
    device = only("Cmaj7", "Db4 F4 Ab4 Db5 Ab4 F4")
    assert device.facts["character"] == "outside"


def test_an_arpeggio_started_ahead_of_the_bar_belongs_to_the_chord_after() -> None:
    assert only("Cmaj7 | Fm7", "r:7/2 Ab4 C5 Eb5 F5").facts["chord"] == "Fm7"


def test_a_scale_run_has_four_notes_at_least() -> None:
    assert kinds("G7", "G4 A4 B4") == []
    device = only("G7", "G4 A4 B4 C5 D5")
    assert device.kind == "scale-run"
    assert device.facts == {
        "scale": "G mixolydian", "direction": "up", "passing": 0, "first": "G4", "last": "D5", "degree": "5",
        "over": "G7",
    }  # fmt: skip


def test_a_run_that_turns_is_two_runs() -> None:
    found = devices("Dm7", "D4 E4 F4 G4 A4 G4 F4 E4 D4 C4")
    assert [device.facts["direction"] for device in found] == ["up", "down"]


def test_half_whole_diminished_is_named() -> None:
    device = only("G7b9", "G4 Ab4 Bb4 B4 C#5 D5 E5 F5")
    assert device.facts["scale"] == "G half-whole diminished"


def test_a_scale_is_named_only_where_its_telling_note_sounds() -> None:
    for key in ("G", "C"):
        device = only("Am7", "A4 B4 C5 D5 E5", key)
        assert device.facts["scale"] is None
        assert device.sentence == "Bar 1: up by step from A to E, the fifth of Am7."
    assert only("Am7", "A4 B4 C5 D5 E5 F#5").facts["scale"] == "A dorian"
    assert only("Am7", "A4 B4 C5 D5 E5 F5").facts["scale"] == "A aeolian"


def test_a_telling_note_over_the_next_chord_tells_nothing() -> None:
    run = only("Dmaj7 | G#m7b5", "r:2 D5 C#5 B4 A4 G#4:2")
    assert run.facts["scale"] is None
    assert run.sentence == "Bars 1–2: down by step from D to G♯, the root of G♯m7♭5."


def test_the_seventh_of_a_minor_run_is_that_of_its_neighbours() -> None:
    found = devices("Cm | %", "B3 C4 Ab4 G4 F4 Eb4 D4 C4", key="Cm")
    assert [device.facts["scale"] for device in found if device.kind == "scale-run"] == ["C harmonic minor"]
    found = devices("Cm | %", "r:1 Ab4 G4 F4 Eb4 D4 C4", key="Cm")
    assert [device.facts["scale"] for device in found if device.kind == "scale-run"] == [None]


def test_the_major_scale_is_called_so() -> None:
    assert only("Fmaj7", "F4 G4 A4 Bb4 C5 D5 E5").sentence == "Bar 1: an F major run going up."


def test_a_run_takes_a_chromatic_passing_note() -> None:
    device = only("G7", "G5 F#5 F5 E5 D5 C5 B4")
    assert device.facts["scale"] == "G bebop dominant"
    device = only("Dm7", "A4 G4 F#4 F4 E4 D4 C4")
    assert device.kind == "scale-run"


def test_a_run_may_cross_into_a_chord_of_the_same_scale() -> None:
    device = only("Dm7 G7", "A5 G5 F5 E5 D5 C5 B4 A4")
    assert device.sentence == "Bar 1: down by step from A to A, the ninth of G7."
    assert only("Dm7 G7", "C6 B5 A5 G5 F5 E5 D5 C5").facts["scale"] == "D dorian"


def test_a_line_with_gaps_in_the_scale_is_no_run() -> None:
    assert "scale-run" not in kinds("G7", "G4 A4 C5 E5 F5 A5")


def test_four_half_steps_are_a_chromatic_run() -> None:
    assert kinds("G7", "B4 C5 C#5") == []
    device = only("G7", "D5 C#5 C5 B4")
    assert device.kind == "chromatic-run"
    assert device.facts == {
        "direction": "down", "first": "D5", "last": "B4", "degrees": ["5", "3"], "over": "G7",
    }  # fmt: skip


def test_a_chord_tone_taken_from_both_sides_is_enclosed() -> None:
    device = only("Cmaj7 | Cmaj7", "r:3 A4 F#4 G4:2")
    assert device.kind == "enclosure"
    assert (device.facts["target"], device.facts["degree"]) == ("G4", "5")


def test_an_enclosure_leaves_its_target_to_the_arpeggio_that_begins_there() -> None:
    found = devices("Cmaj7 | Cmaj7", "r:3 F4 D#4 E4 G4 B4 D5")
    assert [device.kind for device in found] == ["enclosure", "chord-arpeggio"]
    assert found[0].notes == (0, 1)


def test_a_repeated_note_is_no_figure() -> None:
    assert kinds("Cmaj7", "C4 C4 C4 C4 C4 C4") == []


def test_notes_far_apart_are_no_figure() -> None:
    tune = type_tune("Cmaj7 | % | % | %", "C4:4 E4:4 G4:4 B4:4")
    assert read_line(tune).devices == ()


def test_a_triad_that_blurs_the_chord_is_not_said_to_leave_it() -> None:
    device = only("C7", "F4 A4 C5 F5 C5 A4")
    assert (device.facts["triad"], device.facts["character"]) == ("F", "scale")
    assert device.sentence == "Bar 1: an F major triad over C7 gives 11, 13 and root."
