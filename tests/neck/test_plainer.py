from dataclasses import replace
from fractions import Fraction
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.music.chart import Bar, Chart, Section
from solowright.music.line import Note, make_line
from solowright.music.pitch import parse_pitch, plain
from solowright.neck import Bounds, Player, easier, find_top_tempo
from solowright.neck.edits import apply_edits, find_edits, find_kept
from solowright.neck.phrases import group_moments
from tests.neck.lines import lock, make_tune, run, run_midi

SIXTEENTH = Fraction(1, 4)
STUDENT = Player(pick_rate=7.0, reach=110.0)
pitches = st.lists(st.integers(40, 80), min_size=2, max_size=12)
tempos = st.sampled_from([90, 140, 200])


def stays(old: Note, new: Note) -> bool:
    return replace(new, duration=old.duration) == old and new.duration >= old.duration


@settings(max_examples=40, deadline=None)
@given(pitches, tempos, st.sets(st.integers(0, 11)), st.integers(0, 6))
def test_what_is_kept_stays_and_the_bounds_hold(line, tempo, keep, most):
    tune = run_midi(line, SIXTEENTH, 100)
    found = easier(tune, STUDENT, tempo, frozenset(keep), Bounds(most))
    touched = [index for change in found.changes for index in change.notes]
    assert len(touched) == len(set(touched)) <= most
    kept = frozenset(keep) | find_kept(tune)
    assert not kept & set(touched)
    new = dict(zip(found.origin, found.tune.line.notes, strict=True))
    for index in kept & set(range(len(line))):
        assert stays(tune.line.notes[index], new[index])
    for index, note in new.items():
        assert note.onset == tune.line.notes[index].onset
        assert (note.pitch.midi - line[index]) % 12 == 0


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(40, 80), min_size=2, max_size=32), tempos)
def test_it_tells_the_truth_about_tempo(line, tempo):
    tune = run_midi(line, SIXTEENTH, 100)
    found = easier(tune, STUDENT, tempo)
    assert found.top_before == pytest.approx(find_top_tempo(tune, STUDENT))
    assert found.top_tempo == pytest.approx(find_top_tempo(found.tune, STUDENT))
    assert found.reached == (found.top_tempo >= tempo * (1 - 1e-9))
    assert found.fingering.tempo == tempo
    if found.reached:
        assert found.fingering.limit_tempo >= tempo * (1 - 1e-6)
    if found.top_before >= tempo:
        assert not found.changes and found.tune.line == tune.line
    if found.changes:
        assert found.top_tempo > found.top_before
        limits = [change.limit_tempo for change in found.changes]
        assert limits[-1] == found.top_tempo


@settings(max_examples=25, deadline=None)
@given(pitches, tempos)
def test_nothing_is_changed_that_could_stay(line, tempo):
    tune = run_midi(line, SIXTEENTH, tempo)
    found = easier(tune, STUDENT)
    goal = min(tempo, found.top_tempo)
    for change in found.changes:
        rest = frozenset(range(len(line))) - {i for c in found.changes if c is not change for i in c.notes}
        again = easier(tune, STUDENT, goal, keep=rest)
        assert again.top_tempo < goal * (1 - 1e-9) or len(again.changes) >= len(found.changes)


@settings(max_examples=25, deadline=None)
@given(st.lists(st.lists(st.integers(45, 76), min_size=1, max_size=4, unique=True), min_size=1, max_size=4))
def test_chords_beyond_the_hand_are_thinned(moments):
    notes = [Note(plain(midi), Fraction(index), Fraction(1)) for index, chord in enumerate(moments)
             for midi in chord]
    tune = make_tune(notes, 100)
    try:
        find_top_tempo(tune, STUDENT)
        return
    except ValueError:
        pass
    try:
        found = easier(tune, STUDENT, bounds=Bounds(most=12))
    except ValueError:
        assert len(moments[-1]) > 1  # it ends the phrase and so may not be touched, or nothing was left
        return
    assert found.top_before == 0 and found.changes and found.top_tempo > 0


def test_a_chord_that_needs_more_strings_than_there_are_loses_as_many_notes_as_it_takes():
    tune = run("A2+A#2+B2+C3 A2")
    found = easier(tune, STUDENT, bounds=Bounds(most=12))
    assert [change.kind for change in found.changes] == ["thin", "thin"] and found.top_tempo > 0
    assert [len(moment) for moment in group_moments(found.tune)] == [2, 1]


def test_a_chord_loses_an_inner_note_before_its_top():
    chord = [Note(parse_pitch(name), Fraction(0), Fraction(1)) for name in ("C5", "E4", "F#3", "F2")]
    tune = make_tune([*chord, Note(parse_pitch("C4"), Fraction(1), Fraction(1))])
    found = easier(tune)
    assert [change.kind for change in found.changes] == ["thin"] * len(found.changes)
    assert parse_pitch("C5") in [note.pitch for note in found.tune.line.notes]
    assert found.sentence.startswith("Playable at 100 with ") and "no hand can hold it" in found.sentence


def test_a_repeated_note_is_held_and_the_phrase_keeps_its_end():
    tune = run("A3 A3 A3 A3 C4", SIXTEENTH, 220)
    found = easier(tune, bounds=Bounds(most=3))
    assert found.reached and {change.kind for change in found.changes} == {"hold"}
    assert found.changes[0].what == "bar 1 beat 1.25: hold A3 instead of striking it again"
    assert found.tune.line.notes[0].duration == Fraction(1, 2)
    assert found.tune.line.notes[-1].pitch.name == "C4"
    assert found.sentence == "Playable at 220 with 2 of 5 notes changed; as written no fingering passes 180."


def test_a_written_place_is_given_up_before_a_note():
    tune = run("A4 E4 C5 B4 A4 G4 - -", SIXTEENTH, 150)
    clumsy = lock(lock(tune, 0, string=1), 1, string=6)
    found = easier(clumsy)
    assert found.reached and [change.kind for change in found.changes] == ["elsewhere"]
    assert len(found.tune.line.notes) == len(tune.line.notes)
    assert " on string " in found.changes[0].what


def test_a_written_stroke_may_be_slurred():
    tune = run("A4 B4 C5 B4 A4", SIXTEENTH, 220)
    for index in range(5):
        tune = lock(tune, index, entry="pick")
    found = easier(tune, bounds=Bounds(most=3))
    assert found.reached and {change.kind for change in found.changes} == {"slur"}
    assert "instead of struck as written" in found.changes[0].what


def test_taps_only_where_the_player_taps():
    tune = run("A4 C5 A4 F5 C5 A4", SIXTEENTH, 200)
    for index in range(6):
        tune = lock(tune, index, string=1)
    bounds = Bounds(most=2, kinds=frozenset({"tap"}))
    assert easier(tune, Player(), bounds=bounds).changes == ()
    (change,) = easier(tune, Player(taps=True), bounds=bounds).changes
    assert change.what == "bar 1 beat 1.75: tap F5 on string 1 fret 13 with the picking hand and pull off " \
                          "to the next note"


def test_phrase_ends_and_hits_are_kept():
    notes = [*run("A3 C4 D4 E4 - - G4 A4").line.notes]
    chart = Chart((Section("", (Bar(hits=(Fraction(1, 2),)),)),))
    tune = replace(make_tune(notes), chart=chart)
    assert find_kept(tune) == {1, 3, 5}  # the hit; before the rest; the last


def test_a_slur_out_of_a_note_left_out_falls():
    tune = lock(lock(run("A4 B4 A4 G4"), 1, entry="hammer"), 2, entry="pull")
    moments = group_moments(tune)
    (edit,) = find_edits(tune, moments, 1, frozenset({"leave-out"}), frozenset())
    changed, origin = apply_edits(tune, (edit,))
    assert origin == (0, 2, 3)
    assert [note.entry for note in changed.line.notes] == [None, None, None]
    assert changed.line.notes[0].duration == 1


def test_graces_go_before_their_note():
    grace = Note(parse_pitch("B4"), Fraction(1), Fraction(0))
    tune = replace(run("A4 G4 C5 A4"), line=make_line([*run("A4 G4 C5 A4").line.notes, grace]))
    kinds = frozenset({"plain", "leave-out"})
    edits = [(edit.kind, [index for index, _ in edit.notes])
             for edit in find_edits(tune, group_moments(tune), 3, kinds, frozenset())]
    assert edits == [("plain", [2]), ("leave-out", [2, 3])]


def test_nothing_to_ease():
    found = easier(run("A3 C4"), tempo=60)
    assert found.sentence == "Playable at 60 as it is; nothing has to change."
    assert easier(make_tune([])).top_tempo == inf
    stuck = easier(run("A3 A3 A3", SIXTEENTH, 220), bounds=Bounds(most=0))
    assert stuck.sentence == ("Nothing within the bounds makes this line playable at 220; as written no "
                              "fingering passes 180.") and not stuck.reached
