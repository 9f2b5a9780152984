"""Slides and open strings: what a guitarist would do where the writing asks for the impossible."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.errors import InputError
from solowright.music.line import Note
from solowright.music.pitch import parse_pitch, plain
from solowright.neck import apply_path, find_remarks, finger, tell_fingering
from tests.neck.lines import lock, make_tune, run, run_midi, tab

HALF = Fraction(1, 2)


def slid(line: str, first: int, second: int, string: int = 1):
    tune = lock(run(line), 0, string=string, fret=first)
    return lock(tune, 1, string=string, fret=second, entry="slide")


def test_a_slide_from_an_open_string_is_hammered():
    tune = slid("E4 A4", 0, 5)
    path = finger(tune).paths[0]
    assert tab(path).startswith("1/0(0) h1/5(")
    assert find_remarks(tune, path) == (
        "bar 1 beat 1.5: no finger slides from an open string; the slide into A4 is read as a hammer-on",
    )


def test_a_slide_down_to_an_open_string_is_pulled_off():
    tune = slid("A4 E4", 5, 0)
    path = finger(tune).paths[0]
    assert [placed.entry for placed in path.notes] == ["pick", "pull"]
    (said,) = find_remarks(tune, path)
    assert said.endswith("no finger slides to an open string; the slide into E4 is read as a pull-off")


def test_a_slide_between_free_notes_takes_stopped_strings():
    tune = lock(run("E4 A4"), 1, entry="slide")
    path = finger(tune).paths[0]
    assert path.notes[0].fret > 0 and path.notes[1].entry == "slide"
    assert find_remarks(tune, path) == ()


def test_the_lowest_open_string_can_only_be_hammered_from():
    path = finger(lock(run("E2 G2"), 1, entry="slide")).paths[0]
    assert [placed.entry for placed in path.notes] == ["pick", "hammer"]


def test_a_slide_across_strings_is_still_refused():
    with pytest.raises(InputError, match="a slide keeps one finger on one string"):
        finger(lock(lock(run("E4 A4"), 0, string=1), 1, string=2, entry="slide"))


@settings(max_examples=60, deadline=None)
@given(st.integers(40, 84), st.integers(-5, -1), st.integers(40, 84))
def test_a_slide_in_from_nowhere_begins_on_a_fret(midi, away, before):
    notes = [Note(plain(before), Fraction(0), HALF), Note(plain(midi), HALF, HALF, slide_from=away)]
    tune = make_tune(notes)
    path = finger(tune).paths[0]
    played = apply_path(tune, path).line.notes[1]
    assert played.fret + played.slide_from >= 1 or (played.fret == played.slide_from == 0 and midi == 40)
    kept = played.slide_from == away
    assert kept == (find_remarks(tune, path) == ())
    if midi - 40 + away >= 1:  # the lowest string has the room
        assert kept


def test_a_written_start_on_the_open_string_moves_up_a_fret():
    note = Note(parse_pitch("G2"), Fraction(0), HALF, string=6, fret=3, slide_from=-3)
    tune = make_tune([note])
    path = finger(tune).paths[0]
    assert apply_path(tune, path).line.notes[0].slide_from == -2
    assert find_remarks(tune, path) == (
        "bar 1 beat 1: no finger slides from an open string; the slide in to G2 begins at fret 1",
    )


def test_no_slide_off_the_lowest_open_string():
    tune = make_tune([Note(parse_pitch("E2"), Fraction(0), HALF, slide_to=-2, vibrato=True)])
    path = finger(tune).paths[0]
    assert apply_path(tune, path).line.notes[0].slide_to == 0
    assert find_remarks(tune, path) == (
        "bar 1 beat 1: E2 is an open string here, so the slide off is left out",
    )


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(40, 84), min_size=2, max_size=6), st.integers(0, 5))
def test_a_playable_slide_is_never_touched(line, index):
    tune = run_midi(line, HALF)
    at = min(index, len(line) - 1) or 1
    if abs(line[at] - line[at - 1]) > 12 or line[at] == line[at - 1]:
        return
    tune = lock(tune, at, entry="slide")
    path = finger(tune).paths[0]
    placed = path.notes[at]
    if placed.entry != "slide":
        assert min(line[at], line[at - 1]) < 45  # only there no string has both stopped
        assert 0 in (placed.fret, path.notes[at - 1].fret)
    assert bool(find_remarks(tune, path)) == (placed.entry != "slide")


def test_all_there_is_to_say():
    cell = [57, 60, 64, 69]
    moved = run_midi([midi + step for step in (0, 3, 6) for midi in cell], Fraction(1, 4), 120)
    (shape,) = tell_fingering(moved, finger(moved))
    assert "one shape, played 3 times" in shape
    tune = slid("E4 A4", 0, 5)
    *_, remark = tell_fingering(tune, finger(tune))
    assert remark.startswith("Bar 1 beat 1.5: no finger slides") and remark.endswith("hammer-on.")
