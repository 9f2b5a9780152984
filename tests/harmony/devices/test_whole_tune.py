"""Devices that need more than the notes at hand: kept pitches, the band, phrases said again."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from solowright.harmony import Device, read_line
from solowright.music.chart import Bar, Chart, Section
from solowright.music.line import make_line
from solowright.music.tune import Tune
from tests.harmony.tunes import devices, type_tune


def with_bar(tune: Tune, index: int, **changes: object) -> Tune:
    bars: list[Bar] = list(tune.chart.bars)
    bars[index] = replace(bars[index], **changes)  # type: ignore[arg-type]
    return replace(tune, chart=Chart((Section("A", tuple(bars)),)))


def kinds(tune: Tune) -> list[str]:
    return [device.kind for device in read_line(tune).devices]


def kept(chart: str, line: str) -> Device:
    (device,) = (device for device in devices(chart, line) if device.kind in ("pedal", "common-tone"))
    return device


def test_a_pitch_that_says_both_chords_is_common() -> None:
    device = kept("Em7 | Cmaj7", "r:2 E5:4")
    assert device.kind == "common-tone"
    chords, degrees = ["Em7", "Cmaj7"], ["1", "3"]
    assert device.facts == {"pitch": "E5", "open": False, "chords": chords, "degrees": degrees}


def test_a_pitch_foreign_to_one_chord_is_a_pedal() -> None:
    device = kept("Em7 | F", "r:2 E5 G5 E5 A5 E5 A5 E5 C6")
    assert device.kind == "pedal"
    assert device.facts["chords"] == ["Em7", "F"]


def test_a_pitch_repeated_over_one_chord_is_neither() -> None:
    found = devices("Em7 | Em7", "r:2 E5 G5 E5 A5 E5 A5 E5 C6")
    assert all(device.kind not in ("pedal", "common-tone") for device in found)


def test_notes_on_the_bands_hits_are_played_with_the_band() -> None:
    tune = type_tune("A7", "A4:3/2 E5:3/2 C#5:1")
    hits = (Fraction(0), Fraction(3, 2), Fraction(3))
    assert kinds(tune) == []
    (device,) = read_line(with_bar(tune, 0, hits=hits)).devices
    assert (device.kind, device.facts["hits"]) == ("band-hit", 3)
    assert kinds(with_bar(tune, 0, hits=(Fraction(0), Fraction(1), Fraction(2)))) == []


def test_a_slide_that_ends_on_a_hit() -> None:
    tune = type_tune("A7 | A7", "r:3 C#5:1 E5:2")
    notes = list(tune.line.notes)
    slid = replace(tune, line=make_line([notes[0], replace(notes[1], entry="slide")]))
    assert kinds(slid) == []
    (device,) = read_line(with_bar(slid, 1, hits=(Fraction(0),))).devices
    assert (device.kind, device.facts) == ("slide-into-hit", {"target": "E5"})


def test_a_phrase_that_waits_for_the_band_answers_it() -> None:
    tune = type_tune("A7 | A7 | A7", "A4 C#5 G4 r:13/2 E5 D5 A5")
    answer = with_bar(tune, 1, answer=(Fraction(0), Fraction(3, 2)))
    room, reply = (device for device in read_line(answer).devices if device.kind == "answer")
    assert room.facts == {"to": {"bar": 2, "beat": 1.0}, "how": "answered"}
    assert (room.start, reply.start) == (1, 8)
    assert reply.facts == {"to": {"bar": 2, "beat": 1.0}, "how": "replies"}
    waits = with_bar(type_tune("A7 | A7", "r:4 E5 D5 A5"), 0, answer=(Fraction(1), Fraction(3)))
    (device,) = read_line(waits).devices
    assert device.sentence == "Bar 2: the line waits for the band in bar 1, then replies."
    over = type_tune("A7 | A7 | A7", "A4 C#5 G4 r:3 E5 D5 A5 r:2 A5 D5 E5")
    assert "answer" not in kinds(with_bar(over, 1, answered=True))


PHRASE = "C5:1/2 G4:1 A4 Bb4:1 E4"


def test_a_phrase_at_another_pitch_is_recognised() -> None:
    found = devices("C7 | C7 | C7", f"{PHRASE} r:1 F5:1/2 C5:1 D5 Eb5:1 A4")
    (device,) = (device for device in found if device.kind == "transposed-phrase")
    assert device.facts == {"of": {"bar": 1, "beat": 1.0}, "interval": 5, "part": "phrase"}


def test_a_phrase_with_a_note_changed_is_an_echo() -> None:
    tune = type_tune("C7 | C7 | C7", f"{PHRASE} r:1 C5:1/2 G4:1 A4 Bb4:1 D4")
    (device,) = (d for d in read_line(tune).devices if d.kind == "varied-echo")
    assert device.facts == {
        "of": {"bar": 1, "beat": 1.0}, "similarity": 0.8, "changed": 1, "left_out": 0, "part": "phrase",
    }  # fmt: skip
    assert device.sentence.endswith("the phrase of bar 1 comes back with one note changed.")


def test_a_bar_that_repeats_another_lower_is_told_beside_what_it_is_made_of() -> None:
    line = "E4 G4 B4 D5 C5 B4 G4 E4 D4 F4 A4 C5 Bb4 A4 F4 D4"
    found = devices("Em7 | Dm7", line)
    echo = next(device for device in found if device.kind in ("transposed-phrase", "sequence"))
    assert echo.facts["interval"] == -2
    apart = devices("Em7 | Em7 | Dm7", line.replace("E4 D4 F4", "E4 E4:4 D4 F4"))
    (later,) = (device for device in apart if device.kind == "transposed-phrase")
    assert (later.facts["of"], later.facts["interval"]) == ({"bar": 1, "beat": 1.0}, -2)
    assert any(device.kind == "chord-arpeggio" and device.start == later.start for device in apart)


def test_a_phrase_that_begins_with_an_upbeat_is_not_called_a_bar() -> None:
    line = "r:7/2 C5 G4:1 A4 Bb4:1 E4:1 r:7/2 C5 G4:1 A4 Bb4:1 E4:1"
    (device,) = (d for d in devices("C7 | C7 | C7 | C7", line) if d.kind == "varied-echo")
    assert device.sentence == "Bars 3–4: the phrase that began at the end of bar 1 again, note for note."


def test_the_figure_of_a_bars_first_half_is_recognised_lower() -> None:
    line = "E4 G#4 B4 C#5 G4 F#4 C#4 D#4 D4 F#4 A4 B4 C5 D5 E5 F#5"
    (device,) = (d for d in devices("C#m7 | Bm7", line) if d.kind == "transposed-phrase")
    assert (device.facts["part"], device.facts["interval"], len(device.notes)) == ("figure", -2, 4)
    assert device.sentence == (
        "Bar 2: the figure that opened bar 1 again, a whole step lower, then up to F♯, the fifth of Bm7."
    )


def test_different_strikes_on_the_hits_are_told() -> None:
    tune = type_tune("A7 | A7", "C#4+G4:3/2 C#4+G4:3/2 A3+C#4+E4+G4:1")
    bar = with_bar(tune, 0, hits=(Fraction(0), Fraction(3, 2), Fraction(3)))
    assert "Bar 1: with the band, three hits in a row: C♯–G twice, then a full A7." in [
        sentence.text for sentence in read_line(bar).sentences
    ]


def test_a_phrase_that_comes_back_shorter_is_not_said_again() -> None:
    line = "C5 G4 A4 Bb4 G4 A4 E4:1 r:9/2 C5 G4 A4 Bb4 E4:1"
    (device,) = (d for d in devices("C7 | C7 | C7 | C7", line) if d.kind == "varied-echo")
    assert device.facts["left_out"] == 2
    assert device.sentence.endswith("the phrase of bar 1 comes back with two notes left out.")


def test_a_pedal_does_not_reach_over_the_end_of_a_phrase() -> None:
    line = "r:3 E5 A5 r:2 E5 A5 E5 C6"
    assert not [device for device in devices("Em7 | F", line) if device.kind in ("pedal", "common-tone")]
    assert kept("Em7 | F", "r:3 E5 A5 E5 A5 E5 A5 E5 C6").kind == "pedal"
