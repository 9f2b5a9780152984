"""A line worked out again after an edit is the line worked out afresh, to the last bit."""

from dataclasses import replace
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.errors import InputError
from solowright.music.line import Note, make_line
from solowright.music.pitch import plain
from solowright.music.time import SWING
from solowright.neck import finger, solve, solve_after
from solowright.neck.layout import lay_out
from solowright.neck.search import Lattice
from tests.neck.lines import make_tune, run_midi

EIGHTH = Fraction(1, 2)
SCALE = [50, 52, 53, 55, 57, 58, 60, 62, 64, 65, 67, 69, 70, 72, 74]
pitches = st.lists(st.integers(45, 76), min_size=1, max_size=24)
edits = st.lists(
    st.tuples(st.sampled_from(["pitch", "leave out", "put in", "double", "hammer", "finger", "later"]),
              st.integers(0, 99), st.integers(45, 76)),
    min_size=1, max_size=4,
)


def edit(tune, kind, at, midi):
    notes = list(tune.line.notes)
    index = at % len(notes)
    note = notes[index]
    if kind == "pitch":
        notes[index] = replace(note, pitch=plain(midi))
    elif kind == "leave out" and len(notes) > 1:
        del notes[index]
    elif kind == "put in":
        notes.append(Note(plain(midi), note.onset + EIGHTH / 2, EIGHTH / 2))
    elif kind == "double":
        notes.append(Note(plain(midi), note.onset, note.duration))
    elif kind == "hammer":
        notes[index] = replace(note, slurred=True)
    elif kind == "finger":
        notes[index] = replace(note, finger=1 + midi % 4)
    else:
        notes[index:] = [replace(each, onset=each.onset + 4) for each in notes[index:]]
    return make_tune(list(make_line(notes).notes), tune.tempo.first, feel=tune.feel)


@settings(max_examples=60, deadline=None)
@given(pitches, edits, st.sampled_from([80, 180, 320]), st.booleans())
def test_edits_one_after_the_other(line, changes, bpm, refinger):
    tune = replace(run_midi(line, EIGHTH, bpm), feel=SWING)
    solved = solve(tune, refinger=refinger)
    assert solved.fingering == finger(tune, refinger=refinger)
    for change in changes:
        edited = edit(tune, *change)
        try:
            fresh = finger(edited, refinger=refinger)
        except InputError:
            continue
        tune, solved = edited, solve_after(solved, edited)
        assert solved.fingering == fresh


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 4), st.integers(0, 99), st.integers(50, 70))
def test_cells_that_keep_their_shape(start, at, midi):
    tune = run_midi([midi + step for midi in SCALE[start : start + 9] for step in (0, 4, 7, 4)], EIGHTH, 140)
    edited = edit(tune, "pitch", at, midi)
    assert solve_after(solve(tune), edited).fingering == finger(edited)


def test_another_tempo_and_no_notes_at_all():
    tune = run_midi(SCALE)
    solved = solve(tune)
    assert solve_after(solved, tune.at_tempo(300)).fingering == finger(tune.at_tempo(300))
    empty = make_tune([])
    assert solve_after(solved, empty).fingering == finger(empty)
    assert solve_after(solve_after(solved, empty), tune).fingering == finger(tune)


def test_only_what_the_edit_can_change_is_worked_out_again():
    """Values are taken over before and behind the edit, in all but a few moments around it."""
    tune = run_midi(SCALE * 12, EIGHTH, 120)
    edited = edit(tune, "pitch", 90, 61)
    (_, before), (_, after) = (lay_out(each, solve(tune).player) for each in (tune, edited))
    after = Lattice(after.moments, after.steps, before.learn())
    assert after.tail == len(SCALE) * 12 - 91
    assert 60 < after.settled < 90
    fresh = Lattice(after.moments, after.steps)
    assert all((one == two).all() for one, two in zip(after.values, fresh.values, strict=True))
    assert after.best == fresh.best
