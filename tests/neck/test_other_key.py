from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.errors import InputError
from solowright.neck import Fretboard, apply_path, finger, transpose_keeping_shapes
from tests.neck.lines import lock, make_tune, run, run_midi, spots

SIXTEENTH = Fraction(1, 4)
pitches = st.lists(st.integers(47, 74), min_size=1, max_size=10)


@settings(max_examples=60, deadline=None)
@given(pitches, st.integers(-7, 7), st.sampled_from([80, 180]))
def test_what_is_kept_moves_along_the_neck_and_the_rest_sounds_its_pitch(line, semitones, bpm):
    tune = run_midi(line, SIXTEENTH, bpm)
    old = finger(tune)
    found = transpose_keeping_shapes(tune, semitones)
    new, board = found.fingering.paths[0], Fretboard()
    assert [note.pitch.midi for note in found.tune.line.notes] == [midi + semitones for midi in line]
    for before, after, kept in zip(old.paths[0].notes, new.notes, found.kept, strict=True):
        assert board.open[after.string - 1] + after.fret == before.note.pitch.midi + semitones
        if kept:
            assert (after.string, after.finger) == (before.string, before.finger)
            assert after.fret - before.fret == semitones and (after.fret or not semitones)
    assert found.sentences[0].endswith(
        f"{sum(found.kept)} of {len(line)} notes keep string and finger, "
        + (f"{abs(semitones)} fret{'s' if abs(semitones) > 1 else ''} {'up' if semitones > 0 else 'down'} "
           "on the neck." if semitones else "at the same frets.")
    )
    if old.limit_tempo >= bpm and finger(found.tune).limit_tempo >= bpm:
        assert found.fingering.limit_tempo >= bpm * (1 - 1e-6)
    if not semitones:
        assert all(found.kept) and spots(new) == spots(old.paths[0])


@settings(max_examples=30, deadline=None)
@given(st.lists(st.integers(45, 70), min_size=1, max_size=10), st.integers(1, 5))
def test_a_line_without_open_strings_keeps_its_shape_up_the_neck(line, up):
    tune = run_midi(line, SIXTEENTH, 60)
    path = finger(tune).paths[0]
    found = transpose_keeping_shapes(tune, up)
    stopped = [placed.fret > 0 for placed in path.notes]
    if all(stopped):
        assert all(found.kept)
        assert [p.entry for p in found.fingering.paths[0].notes] == [p.entry for p in path.notes]
    assert not any(kept and not fret for kept, fret in zip(found.kept, stopped, strict=True))


@settings(max_examples=30, deadline=None)
@given(pitches, st.integers(1, 7))
def test_a_capo_moved_along_keeps_everything(line, up):
    tune = run_midi(line, SIXTEENTH, 90)
    found = transpose_keeping_shapes(tune, up, capo=up)
    assert all(found.kept) and found.tune.capo == up
    assert spots(found.fingering.paths[0]) == spots(finger(tune).paths[0])


def test_open_strings_are_told_of():
    line = run("E4 G4 A4 G4 E4")
    for index, (string, fret) in enumerate([(1, 0), (1, 3), (1, 5), (1, 3), (1, 0)]):
        line = lock(line, index, string=string, fret=fret)
    found = transpose_keeping_shapes(line, 3)
    assert found.kept == (False, True, True, True, False)
    assert found.sentences == (
        "3 semitones up: 3 of 5 notes keep string and finger, 3 frets up on the neck.",
        "bar 1 beat 1: found again at 2/8; an open string stays where it is.",
        "bar 1 beat 3: found again at 2/8; an open string stays where it is.",
        "2 notes on open strings can't move along: they lose their ring and no longer give the hand time "
        "to shift. With the capo at fret 3 they would stay open.",
        *found.sentences[4:],
    )


def test_what_leaves_the_neck_is_found_again():
    tune = lock(run("A5 G5 A5"), 0, string=2)
    found = transpose_keeping_shapes(tune, 4)
    assert not found.kept[0] and "its place would lie past the last fret" in found.sentences[1]
    low = transpose_keeping_shapes(lock(run("F3 A3 C4"), 0, string=6), -1)
    assert low.kept[0]
    down = transpose_keeping_shapes(run("F2 A2 C3 F3"), -1)
    assert not down.kept[0] and "its place would lie below the nut" in down.sentences[1]


def test_a_natural_harmonic_has_its_place():
    note = replace(run("E5").line.notes[0], entry="harmonic")
    found = transpose_keeping_shapes(make_tune([note]), -5)
    assert found.kept == (False,)
    assert "a natural harmonic has its place on the string" in found.sentences[1]


def test_a_grip_too_wide_further_down_is_found_again():
    tune = lock(lock(run("A5+D4"), 0, string=1), 1, string=4)  # frets 17 and 12: 84 mm
    found = transpose_keeping_shapes(tune, -11)  # frets 6 and 1: 157 mm
    assert found.kept == (False, False)
    assert "the grip needs a wider hand there" in found.sentences[1]
    new = apply_path(found.tune, found.fingering.paths[0])
    assert [note.pitch.midi for note in new.line.notes] == [81 - 11, 62 - 11]


def test_impossible_keys_are_refused():
    with pytest.raises(InputError, match="bar 1 beat 1: D2 lies 2 semitones below the lowest string"):
        transpose_keeping_shapes(run("E2"), -2)
    with pytest.raises(InputError, match="can't transpose by 13 half steps"):
        transpose_keeping_shapes(run("E2"), 13)
    with pytest.raises(InputError, match="a capo at fret 20 leaves no neck; give 0 to 16"):
        transpose_keeping_shapes(run("E2"), 3, capo=20)
