from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.errors import InputError
from solowright.music.line import Note
from solowright.music.pitch import parse_pitch, plain
from solowright.neck import cut_phrases, finger
from solowright.neck.tempo import (
    describe_changes,
    find_top_tempo,
    limit_by_bar,
    limit_by_passage,
    tempo_table,
)
from tests.neck.lines import lock, make_tune, run, run_midi

SIXTEENTH = Fraction(1, 4)
pitches = st.lists(st.integers(40, 84), min_size=1, max_size=10)
tempos = st.sampled_from([60, 140, 220, 300])


@settings(max_examples=40, deadline=None)
@given(pitches, tempos)
def test_the_top_tempo_is_where_some_fingering_can_still_play(line, bpm):
    tune = run_midi(line, SIXTEENTH, bpm)
    top = find_top_tempo(tune)
    assert find_top_tempo(tune.at_tempo(2 * bpm)) == pytest.approx(top)
    if top == inf:
        return
    assert finger(tune.at_tempo(top * 0.999)).limit_tempo >= top * 0.999
    assert finger(tune.at_tempo(top * 1.01)).limit_tempo < top * 1.01


@settings(max_examples=40, deadline=None)
@given(pitches, st.floats(0.3, 0.99))
def test_slower_is_never_less_playable(line, share):
    tune = run_midi(line, SIXTEENTH, 240)
    if finger(tune).limit_tempo >= 240:
        slower = finger(tune.at_tempo(240 * share))
        assert slower.limit_tempo >= slower.tempo * (1 - 1e-6)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(40, 84), min_size=2, max_size=10), tempos)
def test_going_on_never_raises_the_top_tempo(line, bpm):
    shorter = find_top_tempo(run_midi(line[:-1], SIXTEENTH, bpm))
    assert find_top_tempo(run_midi(line, SIXTEENTH, bpm)) <= shorter * (1 + 1e-9)


def put_in(tune, index, midi):
    """The tune with a note half-way between two others."""
    notes = list(tune.line.notes)
    before = notes[index]
    half = before.duration / 2
    notes[index] = replace(before, duration=half)
    notes.append(Note(plain(midi), before.onset + half, half, entry=before.entry))
    return make_tune(notes, tune.tempo.first)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(40, 76), min_size=2, max_size=8), st.data())
def test_a_note_put_between_struck_ones_never_raises_the_top_tempo(line, data):
    """Where every note is struck, the pick has twice the work, whatever the hand wins."""
    tune = run_midi(line, SIXTEENTH, 140)
    notes = [replace(note, entry="pick") for note in tune.line.notes]
    tune = make_tune(notes, 140)
    index = data.draw(st.integers(0, len(line) - 2))
    more = put_in(tune, index, data.draw(st.integers(40, 76)))
    assert find_top_tempo(more) <= find_top_tempo(tune) * (1 + 1e-9)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.lists(st.integers(45, 72), min_size=1, max_size=3, unique=True), min_size=1, max_size=4))
def test_every_limit_is_that_of_the_hardest_bar(moments):
    notes = [Note(plain(midi), Fraction(index), Fraction(1)) for index, chord in enumerate(moments)
             for midi in chord]
    tune = make_tune(notes, 200)
    try:
        path = finger(tune).paths[0]
    except InputError:
        return
    bars = limit_by_bar(tune, path)
    assert min(bar.limit_tempo for bar in bars) == pytest.approx(path.limit_tempo)
    assert [bar.bar for bar in bars] == sorted({tune.chart.place(note.onset).bar for note in notes})


@settings(max_examples=40, deadline=None)
@given(st.lists(st.one_of(st.none(), st.integers(45, 80)), min_size=1, max_size=16))
def test_phrases_hold_every_note_once_and_the_hardest_sets_the_limit(words):
    notes = [Note(plain(midi), Fraction(n, 2), Fraction(1, 2)) for n, midi in enumerate(words) if midi]
    tune = make_tune(notes, 160)
    if not notes:
        assert cut_phrases(tune) == ()
        return
    path = finger(tune).paths[0]
    phrases = limit_by_passage(tune, path)
    assert [i for each in phrases for i in range(each.first, each.last + 1)] == list(range(len(notes)))
    assert min(each.limit_tempo for each in phrases) == pytest.approx(path.limit_tempo)
    for before, after in pairwise(phrases):
        rest = notes[after.first].onset - notes[before.last].end
        assert rest >= 1 or notes[after.first].onset - notes[before.last].onset >= 2
    (whole,) = limit_by_passage(tune, path, ((0, len(notes) - 1),))
    assert whole.limit_tempo == pytest.approx(path.limit_tempo)


def test_a_phrase_ends_at_a_rest_and_takes_its_graces_along():
    grace = Note(parse_pitch("F#4"), Fraction(2), Fraction(0))
    tune = make_tune([*run("A3 C4 - - G4 A4").line.notes, grace])
    assert cut_phrases(tune) == ((0, 1), (2, 4))


def test_the_table_tells_what_a_tempo_changes():
    tune = run("A4 B4 C5 B4 A4 B4 C5 B4", SIXTEENTH, 200)
    rows = tempo_table(tune, percents=(30, 100, 120, 300))
    slow, show, fast, beyond = rows
    assert (show.changes, show.playable, fast.playable, beyond.playable) == ((), True, True, False)
    assert any("entries pick" in line for line in slow.changes)
    assert [row.tempo for row in rows] == [60, 200, 240, 600]


def test_changes_name_their_place_and_what_is_new():
    tune = run("A3 C4 D4 E4")
    one = finger(lock(tune, 1, string=3)).paths[0]
    other = finger(lock(tune, 1, string=4)).paths[0]
    (line, *_) = describe_changes(tune, one, other)
    assert line.startswith("bar 1 beat 1") and "strings" in line and "4/10" in line
    assert describe_changes(tune, one, one) == ()


def test_a_note_put_in_can_raise_the_top_tempo_where_slurs_are_free():
    """A struck three times is bound by the pick; with its lower neighbour in between it is a pull-off and a
    hammer-on, and the pick has more time."""
    tune = run("A#2 A#2 A#2", SIXTEENTH, 140)
    assert find_top_tempo(put_in(tune, 0, 45)) > find_top_tempo(tune)
