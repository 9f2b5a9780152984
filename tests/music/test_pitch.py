from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from solowright.errors import InputError
from solowright.music.chord import parse_chord
from solowright.music.pitch import (
    Interval,
    Pitch,
    Tone,
    at_midi,
    degree_interval,
    parse_pitch,
    parse_tone,
    plain,
)
from solowright.music.spelling import spell_note
from solowright.music.tune import Key

PITCHES = st.builds(Pitch, st.builds(Tone, st.integers(0, 6), st.integers(-2, 2)), st.integers(0, 8))


@given(PITCHES)
def test_a_pitch_reads_back_from_its_name(pitch: Pitch) -> None:
    assert parse_pitch(pitch.name) == pitch
    assert at_midi(pitch.tone, pitch.midi) == pitch


@given(PITCHES, st.sampled_from(["b2", "2", "b3", "3", "4", "#4", "5", "b7", "7", "b9", "#11", "13"]))
def test_up_and_down_again_sounds_the_same(pitch: Pitch, degree: str) -> None:
    interval = degree_interval(degree)
    assert pitch.up(interval).midi == pitch.midi + interval.semitones
    assert pitch.up(interval).up(-interval).midi == pitch.midi


def test_spelled_intervals() -> None:
    assert parse_tone("Gb").up(degree_interval("b3")).name == "Bbb"
    assert parse_pitch("B3").up(Interval(1, 1)).name == "C4"
    assert parse_pitch("Cb4").midi == 59 and parse_pitch("B#3").midi == 60


@pytest.mark.parametrize("text", ["", "H", "Bb", "4", "Bb4x"])
def test_wrong_pitches_are_refused(text: str) -> None:
    with pytest.raises(InputError):
        parse_pitch(text)


def test_spelling_follows_the_chord_then_the_key() -> None:
    a_major = Key(parse_tone("A"))
    assert spell_note(61, a_major, parse_chord("A7")).name == "C#4"
    assert spell_note(61, a_major, parse_chord("Bbm7")).name == "Db4"
    assert spell_note(57, Key(parse_tone("Gb")), parse_chord("Gbm7")).name == "Bbb3"
    assert spell_note(69, a_major, parse_chord("F#7#9")).name == "A4"  # not G double-sharp
    assert spell_note(68, Key(parse_tone("C")), parse_chord("G7")).name == "Ab4"  # the flat nine
    assert spell_note(70, Key(parse_tone("F"))).name == "Bb4"
    assert spell_note(70, Key(parse_tone("E"))).name == "A#4"


@given(st.integers(0, 127), st.integers(-6, 6), st.booleans())
def test_spelling_never_changes_the_sound(midi: int, fifths: int, minor: bool) -> None:
    tonic = plain(60 + 7 * fifths, flats=fifths < 0).tone
    assert spell_note(midi, Key(tonic, minor)).midi == midi
    for symbol in ("C7alt", "F#m7b5", "Ebmaj7"):
        assert spell_note(midi, Key(tonic, minor), parse_chord(symbol)).midi == midi
