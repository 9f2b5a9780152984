"""Another key: chart and line move together, back again, on the neck, with the truth told about it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from solowright.demo import bundled_tune
from solowright.errors import InputError
from solowright.music.other_key import in_key
from solowright.music.pitch import parse_tone
from solowright.music.tune import Key, Tune
from solowright.neck import finger
from tests.files.any_tunes import tunes
from tests.harmony.tunes import type_tune

TONICS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


def major(name: str) -> Key:
    return Key(parse_tone(name))


@given(tunes(), st.sampled_from(TONICS))
@settings(max_examples=40, deadline=None)
def test_there_and_back_is_the_tune_again(tune: Tune, tonic: str):
    asked = Key(parse_tone(tonic), tune.key.minor)
    assume(abs(asked.fifths) <= 7)
    try:
        there, _ = in_key(tune, asked)
        back, _ = in_key(there, tune.key)
    except InputError:
        assume(False)
    assert there.key == asked
    moves = {b.pitch.midi - a.pitch.midi for a, b in zip(tune.line.notes, there.line.notes, strict=True)}
    assert len(moves) <= 1
    assert back.key == tune.key
    away = {b.pitch.midi - a.pitch.midi for a, b in zip(tune.line.notes, back.line.notes, strict=True)}
    assert all(move % 12 == 0 for move in away)  # an octave off where the neck asked for it
    for (start, _, chord), (at, _, other) in zip(tune.chart.spans, back.chart.spans, strict=True):
        assert start == at and (chord is None) == (other is None)
        if chord is not None and other is not None:
            assert (chord.root.pitch_class, chord.degrees) == (other.root.pitch_class, other.degrees)


@given(tunes(), st.sampled_from(TONICS))
@settings(max_examples=40, deadline=None)
def test_what_stays_written_still_sounds_its_note(tune: Tune, tonic: str):
    asked = Key(parse_tone(tonic), tune.key.minor)
    assume(abs(asked.fifths) <= 7)
    try:
        there, _ = in_key(tune, asked)
    except InputError:
        assume(False)
    for old, new in zip(tune.line.notes, there.line.notes, strict=True):
        if new.string is not None and old.fret is not None and new.fret is not None:
            assert new.fret - old.fret == new.pitch.midi - old.pitch.midi
            assert (old.fret == 0) == (new.fret == 0)


@pytest.mark.parametrize("tonic", TONICS)
def test_demo_is_playable_in_every_key(tonic: str):
    moved, told = in_key(bundled_tune(), major(tonic))
    fingering = finger(moved)
    assert moved.key.tonic.name == tonic and fingering.limit_tempo > 100
    assert bool(told) == (tonic != "A")


def test_nearest_octave_that_fits_is_taken():
    low = type_tune("C", "E2:1 G2:1 C3:1", key="C")
    assert in_key(low, major("B"))[0].line.notes[0].pitch.midi == 40 + 11  # a half step down is off the neck
    assert in_key(low, major("D"))[0].line.notes[0].pitch.midi == 42
    high = type_tune("C", "C6:1 D6:1", key="C")
    assert in_key(high, major("D"))[0].line.notes[0].pitch.midi == 84 - 10


def test_asked_spelling_is_kept():
    tune = type_tune("C F7", "C4:1 E4:1", key="C")
    sharp, flat = (in_key(tune, major(name))[0] for name in ("F#", "Gb"))
    assert sharp.chart.bars[0].chords[0].chord.symbol == "F#"
    assert flat.chart.bars[0].chords[0].chord.symbol == "Gb"
    assert [note.pitch.tone.name for note in sharp.line.notes] == ["F#", "A#"]
    assert [note.pitch.tone.name for note in flat.line.notes] == ["Gb", "Bb"]


def test_open_strings_are_told_to_be_lost():
    tune = bundled_tune()
    moved, told = in_key(tune, major("Bb"))
    opened = [note for note in tune.line.notes if note.string and note.fret == 0]
    assert told[0] == "From A to Bb: a half step up."
    assert any(f"{len(opened)} open strings are no longer there" in text for text in told)
    assert "25" in next(text for text in told if "open strings" in text)
    free = [note for note in moved.line.notes if note.string is None]
    assert len(free) >= len(opened)


def test_own_key_changes_nothing():
    tune = bundled_tune()
    assert in_key(tune, tune.key) == (tune, [])


@pytest.mark.parametrize(
    ("key", "complaint"),
    [
        (Key(parse_tone("C"), minor=True), "name a major key"),
        (Key(parse_tone("G#")), "7 sharps or flats"),
    ],
)
def test_keys_that_can_not_be_are_refused(key: Key, complaint: str):
    with pytest.raises(InputError, match=complaint):
        in_key(bundled_tune(), key)


def test_line_wider_than_the_neck_is_refused():
    tune = type_tune("C", "E2:1 D6:1", key="C")
    with pytest.raises(InputError, match="every octave"):
        in_key(replace(tune), major("Eb"))
