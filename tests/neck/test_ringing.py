"""Runs that ring: one grip, its strings sounding in turn."""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.music.line import make_line
from solowright.neck import Fretboard, finger, places_of
from solowright.neck.shapes import find_sequences
from tests.neck.lines import lock, make_tune, run, run_midi, spots

EIGHTH = Fraction(1, 2)
BOARD = Fretboard()


def ringing(tune):
    return make_tune([replace(note, let_ring=True) for note in tune.line.notes], tune.tempo.first)


def cuts(path) -> int:
    """Notes whose string sounds another pitch before the run is over."""
    last: dict[int, int] = {}
    count = 0
    for placed in path.notes:
        count += placed.string in last and last[placed.string] != placed.note.pitch.midi
        last[placed.string] = placed.note.pitch.midi
    return count


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(45, 72), min_size=1, max_size=8), st.sampled_from([80, 160]))
def test_every_note_still_sounds_its_pitch_and_is_struck(line, bpm):
    path = finger(ringing(run_midi(line, EIGHTH, bpm))).paths[0]
    for placed in path.notes:
        assert (placed.string, placed.fret) in [
            (spot.string, spot.fret) for spot in places_of(placed.note.pitch.midi)
        ]
        assert (placed.finger == 0) == (placed.fret == 0)
    for before, after in pairwise(path.notes):
        if after.entry != "pick":  # only in what no grip holds
            assert before.string == after.string


CHORDS = {
    "C": "C3 E3 G3 C4 E4", "Am": "A2 E3 A3 C4 E4", "G": "G2 B2 D3 G3 B3 G4", "Bm": "B2 F#3 B3 D4 F#4",
    "F": "F2 C3 F3 A3 C4 F4", "Cadd9": "C3 E3 G3 D4 G4", "Dm7": "D3 A3 C4 F4",
}


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(sorted(CHORDS)), st.data())
def test_a_broken_chord_marked_to_ring_is_held_as_a_chord(name, data):
    notes = CHORDS[name].split()
    order = data.draw(st.permutations(notes))
    back = data.draw(st.lists(st.sampled_from(notes), max_size=6))
    path = finger(ringing(run(" ".join([*order, *back])))).paths[0]
    assert cuts(path) == 0
    where = {}
    for placed in path.notes:
        spot = placed.string, placed.fret, placed.finger
        assert where.setdefault(placed.note.pitch.midi, spot) == spot
    assert len({string for string, *_ in where.values()}) == len(where)
    used = [(used, fret) for _, fret, used in where.values() if used]
    assert all(a[1] == b[1] for a in used for b in used if a[0] == b[0])


def test_a_note_two_back_rings_on_too():
    """D A E: with the E on the D's own string the first note would stop."""
    line = run("D3 A3 E3")
    assert cuts(finger(line).paths[0]) == 1
    assert cuts(finger(ringing(line)).paths[0]) == 0


def test_locks_are_kept_in_a_ringing_run():
    tune = lock(ringing(run("E3 B3 G3")), 1, string=3, fret=4)
    path = finger(tune).paths[0]
    assert spots(path)[1][:2] == (3, 4) and cuts(path) == 0


def test_a_written_slur_is_kept_and_ends_what_rings():
    tune = lock(ringing(run("C3 E3 G3 A3 E3 C3")), 3, string=3, fret=2, entry="hammer")
    path = finger(tune).paths[0]
    assert path.notes[3].entry == "hammer" and path.notes[2].string == 3


def test_what_no_grip_holds_is_played_as_before():
    path = finger(ringing(run("E2 D6 F2 C6"))).paths[0]
    assert [placed.note.pitch.name for placed in path.notes] == ["E2", "D6", "F2", "C6"]


def test_a_ringing_run_is_no_shape_to_move():
    line = run_midi([57, 60, 64, 67, 58, 61, 65, 68])
    notes = [replace(note, let_ring=True) for note in line.line.notes]
    assert find_sequences(line) and not find_sequences(replace(line, line=make_line(notes)))
