from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.music.line import Note
from solowright.music.pitch import parse_pitch, plain
from solowright.neck import Fretboard, Player, finger
from tests.neck.lines import lock, make_tune, run, run_midi, tab

SIXTEENTH = Fraction(1, 4)


def trill(midi: int, wide: int):
    return finger(make_tune([Note(plain(midi), Fraction(0), Fraction(1), trill=wide)])).paths[0].notes[0]


@settings(max_examples=60, deadline=None)
@given(st.integers(41, 80), st.integers(1, 4))
def test_a_finger_is_left_that_reaches_the_other_note(midi, wide):
    placed, board, player = trill(midi, wide), Fretboard(), Player()
    assert placed.fret + wide <= board.last
    if not placed.fret:
        assert not placed.position or placed.position <= wide <= placed.position + 3
        return
    span = board.span(placed.fret, placed.fret + wide)
    assert any(
        span <= player.span_of(placed.finger, upper).most for upper in range(placed.finger + 1, 5)
    )


@pytest.mark.parametrize(("wide", "fingers"), [(1, (1, 2)), (2, (1,)), (3, (1,))])
def test_the_index_holds_while_a_strong_finger_beats(wide, fingers):
    assert trill(parse_pitch("D5").midi, wide).finger in fingers


@settings(max_examples=40, deadline=None)
@given(st.integers(45, 76), st.integers(1, 2), st.integers(2, 4), st.sampled_from([125, 150, 170]))
def test_a_trill_written_out_is_slurred_after_its_first_note(midi, wide, times, bpm):
    path = finger(run_midi([midi, midi + wide] * times, SIXTEENTH, bpm)).paths[0]
    assert [placed.entry for placed in path.notes] == ["pick"] + ["hammer", "pull"] * (times - 1) + ["hammer"]
    assert len({placed.string for placed in path.notes}) == 1


def test_a_minor_third_needs_to_go_on_longer():
    """A C A C inside a sequence is no trill; six notes of it are."""
    short = finger(run("A4 C5 A4 C5", SIXTEENTH, 125)).paths[0]
    long = finger(run("A4 C5 A4 C5 A4 C5", SIXTEENTH, 125)).paths[0]
    assert sum(placed.entry == "pick" for placed in short.notes) > 1
    assert sum(placed.entry == "pick" for placed in long.notes) == 1


def test_what_is_slow_wide_or_no_trill_is_not():
    slow = finger(run("A4 B4 A4 B4 A4 B4", SIXTEENTH, 60)).paths[0]
    wide = finger(run("A4 E5 A4 E5 A4 E5", SIXTEENTH, 125)).paths[0]
    scale = finger(run("A4 B4 C5 D5 E5 F5", SIXTEENTH, 125)).paths[0]
    for path in (slow, wide, scale):
        assert sum(placed.entry == "pick" for placed in path.notes) > len(path.notes) / 2


def test_written_strokes_are_kept_in_a_trill():
    tune = run("A4 B4 A4 B4", SIXTEENTH, 150)
    for index in range(4):
        tune = lock(tune, index, stroke="down")
    assert {placed.entry for placed in finger(tune).paths[0].notes} == {"pick"}


def test_a_trill_begins_where_it_begins():
    """A run into the trill is no part of it, and what follows isn't either."""
    entries = tab(finger(run("E4 G4 A4 B4 A4 B4 A4 G4 E4", SIXTEENTH, 130)).paths[0]).split()
    slurred = [word[0] in "hp" for word in entries]
    assert slurred[3:7] == [True] * 4 and not slurred[2]


def test_harmonics_and_dead_notes_make_no_trill():
    notes = run("A4 B4 A4 B4", SIXTEENTH, 150).line.notes
    dead = make_tune([replace(note, dead=index == 1) for index, note in enumerate(notes)], 150)
    assert finger(dead).paths[0].notes[2].entry == "pick"


def test_harmonics_only_where_they_are_marked():
    for name in ("E5", "B4", "E4", "D5", "B5"):
        placed = finger(run(name)).paths[0].notes[0]
        assert placed.entry == "pick"
