from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.errors import InputError
from solowright.music.line import Bend, Note
from solowright.music.pitch import parse_pitch, plain
from solowright.music.time import SWING
from solowright.neck import Player, apply_path, finger, fingering_json, places_of
from solowright.neck.crux import find_move
from solowright.neck.hardest import keep_playable
from tests.neck.lines import lock, make_lattice, make_tune, run, run_midi, spots, tab

SIXTEENTH = Fraction(1, 4)
pitches = st.lists(st.integers(40, 84), min_size=1, max_size=10)
tempos = st.sampled_from([40, 100, 180, 260])


def lines(moments):
    """Tunes of single notes and chords: a moment is a list of pitches."""
    notes = [
        Note(plain(midi), index * SIXTEENTH, SIXTEENTH)
        for index, chord in enumerate(moments)
        for midi in chord
    ]
    return make_tune(notes, 120)


# What always holds


@settings(max_examples=60, deadline=None)
@given(pitches, tempos, st.integers(1, 3))
def test_every_path_sounds_the_line_and_obeys_the_instrument(line, bpm, best):
    tune = run_midi(line, SIXTEENTH, bpm)
    fingering = finger(tune, best=best)
    costs = [path.cost for path in fingering.paths]
    assert costs == sorted(costs)
    choices = {tuple((n.string, n.entry == "pick") for n in path.notes) for path in fingering.paths}
    assert len(choices) == len(costs)
    for path in fingering.paths:
        assert [placed.note for placed in path.notes] == list(tune.line.notes)
        for placed in path.notes:
            assert any((spot.string, spot.fret) == (placed.string, placed.fret)
                       for spot in places_of(placed.note.pitch.midi))
            assert (placed.finger == 0) == (placed.fret == 0)
        check_slurs(path)


def check_slurs(path):
    for before, after in pairwise(path.notes):
        same_string, up = before.string == after.string, after.fret - before.fret
        if after.entry == "hammer":
            assert same_string and up > 0
            assert before.finger == 0 or after.finger > before.finger
        if after.entry == "pull":
            assert same_string and up < 0
            assert after.finger == 0 or after.finger < before.finger
        if after.entry == "slide":
            assert same_string and up and after.finger == before.finger > 0
    assert path.notes[0].entry == "pick"


@settings(max_examples=40, deadline=None)
@given(st.lists(st.lists(st.integers(45, 76), min_size=1, max_size=3, unique=True), min_size=1, max_size=5))
def test_fingers_are_used_once_at_a_time_and_in_order(moments):
    tune = lines([sorted(chord, reverse=True) for chord in moments])
    try:
        path = finger(tune).paths[0]
    except InputError as error:
        assert any(why in str(error) for why in ("no hand reaches", "both need string", "more strings than"))
        return
    for onset in {note.onset for note in tune.line.notes}:
        together = [placed for placed in path.notes if placed.note.onset == onset]
        assert len({placed.string for placed in together}) == len(together)
        down = [placed for placed in together if placed.finger]
        for one in down:
            for two in down:
                assert one.finger != two.finger or one.fret == two.fret
                assert one.finger >= two.finger or one.fret <= two.fret


@settings(max_examples=40, deadline=None)
@given(pitches, st.data())
def test_locks_are_kept(line, data):
    tune = run_midi(line, SIXTEENTH)
    index = data.draw(st.integers(0, len(line) - 1))
    spot = data.draw(st.sampled_from(places_of(line[index])))
    used = data.draw(st.sampled_from([1, 2, 3, 4])) if spot.fret else 0
    tune = lock(tune, index, string=spot.string, fret=spot.fret, finger=used)
    placed = finger(tune).paths[0].notes[index]
    assert (placed.string, placed.fret, placed.finger, placed.locked) == (spot.string, spot.fret, used, True)


@settings(max_examples=30, deadline=None)
@given(pitches)
def test_a_slower_tempo_never_makes_the_best_path_dearer(line):
    costs = [finger(run_midi(line, SIXTEENTH, bpm)).paths[0].cost for bpm in (60, 120, 240)]
    assert costs[0] <= costs[1] + 1e-9 and costs[1] <= costs[2] + 1e-9


@settings(max_examples=30, deadline=None)
@given(pitches, tempos)
def test_the_limit_tempo_is_where_the_hardest_load_reaches_one(line, bpm):
    tune = replace(run_midi(line, SIXTEENTH, bpm), feel=SWING)
    path = finger(tune).paths[0]
    hardest = max(placed.load for placed in path.notes)
    if not hardest:
        assert path.limit_tempo == inf and path.crux is None
        return
    assert path.crux.load == pytest.approx(hardest)
    ways = make_lattice(tune, Player())
    playable = keep_playable(ways)
    choice = (playable if playable.passable else ways).best
    at_limit = make_lattice(tune.at_tempo(path.limit_tempo), Player())
    loads = [find_move(at_limit, choice, index).load for index in range(len(line))]
    assert max(loads) == pytest.approx(1.0)


@settings(max_examples=20, deadline=None)
@given(pitches, tempos)
def test_a_path_written_into_the_line_is_found_again(line, bpm):
    tune = run_midi(line, SIXTEENTH, bpm)
    path = finger(tune).paths[0]
    again = finger(apply_path(tune, path)).paths[0]
    assert spots(again) == spots(path)
    assert [placed.entry for placed in again.notes] == [placed.entry for placed in path.notes]


@pytest.mark.parametrize("up", [1, 2, 3, 4])
def test_a_line_without_open_strings_keeps_its_shape_up_the_neck(up):
    shape = [50, 53, 55, 57, 60, 62, 65, 67, 69, 72]  # a pentatonic box at fret 10
    low = finger(lock(run_midi(shape), 0, string=6, finger=1)).paths[0]
    high = finger(lock(run_midi([midi + up for midi in shape]), 0, string=6, finger=1)).paths[0]
    assert [(s, f - up, d) for s, f, d in spots(high)] == spots(low)


@settings(max_examples=30, deadline=None)
@given(pitches, tempos)
def test_the_other_objective_never_has_a_lower_limit_tempo(line, bpm):
    tune = run_midi(line, SIXTEENTH, bpm)
    effort, hardest = finger(tune), finger(tune, objective="hardest")
    assert hardest.limit_tempo >= effort.limit_tempo * (1 - 1e-6)
    assert hardest.paths[0].cost >= effort.paths[0].cost - 1e-9


# Choices


def test_fast_notes_are_slurred_and_slow_ones_picked():
    line = "A4 B4 C5 B4 A4 B4 C5 B4"
    slow, fast = run(line, SIXTEENTH, 60), run(line, SIXTEENTH, 220)
    assert {placed.entry for placed in finger(slow).paths[0].notes} == {"pick"}
    entries = [placed.entry for placed in finger(fast).paths[0].notes]
    assert "hammer" in entries and "pull" in entries
    picks = [index for index, entry in enumerate(entries) if entry == "pick"]
    assert all(late - early > 1 for early, late in pairwise(picks))


def test_written_slurs_are_kept_where_one_string_can_give_them():
    tune = lock(run("C4 D4 E4 C4"), 1, slurred=True)
    assert finger(tune).paths[0].notes[1].entry == "hammer"
    wide = lock(run("E2 E4 E2"), 1, slurred=True)
    assert finger(wide).paths[0].notes[1].entry == "pick"


def test_a_shift_hides_behind_an_open_string():
    covered = lock(lock(run("C4 E4 C5", SIXTEENTH, 150), 0, string=2), 2, string=1, fret=8)
    bare = lock(lock(run("C4 F4 C5", SIXTEENTH, 150), 0, string=2), 2, string=1, fret=8)
    bare = lock(bare, 1, string=1)
    open_, stopped = finger(covered).paths[0], finger(bare).paths[0]
    assert open_.notes[1].fret == 0
    assert open_.notes[2].load < stopped.notes[2].load


def test_bends_fall_to_a_strong_finger_on_a_stopped_string():
    bend = Note(parse_pitch("E4"), Fraction(0), Fraction(1), bends=(Bend(Fraction(2)),))
    placed = finger(make_tune([bend])).paths[0].notes[0]
    assert placed.fret > 0 and placed.finger == 3


def test_taps_leave_the_fretting_hand_in_place():
    tune = run("A4 E5 A4", SIXTEENTH)
    tune = lock(lock(tune, 0, string=1, fret=5, finger=1), 1, string=1, fret=12, entry="tap")
    tune = lock(tune, 2, string=1, fret=5, entry="pull")
    path = finger(tune, refinger=False).paths[0]
    assert [placed.entry for placed in path.notes] == ["pick", "tap", "pull"]
    assert [placed.finger for placed in path.notes] == [1, 0, 1]
    assert finger(tune, refinger=True).paths[0].notes[1].entry == "tap"


def test_harmonics_go_to_a_node():
    note = Note(parse_pitch("E5"), Fraction(0), Fraction(1), entry="harmonic")
    placed = finger(make_tune([note])).paths[0].notes[0]
    assert (placed.string, placed.fret, placed.entry) == (1, 12, "harmonic")


def test_ringing_notes_lie_on_strings_of_their_own():
    notes = [replace(note, let_ring=True) for note in run("E3 B3 G3 B3").line.notes]
    path = finger(make_tune(notes)).paths[0]
    assert all(a.string != b.string for a, b in pairwise(path.notes))


def test_grace_notes_are_slurred_into_their_note():
    grace = Note(parse_pitch("A4"), Fraction(1), Fraction(0))
    tune = make_tune([*run("E4 - B4").line.notes, grace], 120)
    notes = finger(tune).paths[0].notes
    assert [placed.note.grace for placed in notes] == [False, True, False]
    assert notes[2].entry == "hammer"


def test_refinger_drops_what_was_fixed():
    tune = lock(run("A3 B3 C4 D4"), 1, string=6, fret=19)
    assert finger(tune).paths[0].notes[1].string == 6
    again = finger(tune, refinger=True).paths[0].notes[1]
    assert again.string != 6 and not again.locked


def test_capo_and_tuning_are_the_tunes():
    placed = finger(run("D2 A2", tuning=(64, 59, 55, 50, 45, 38))).paths[0].notes[0]
    assert (placed.string, placed.fret) == (6, 0)
    placed = finger(run("F#2", capo=2)).paths[0].notes[0]
    assert (placed.string, placed.fret) == (6, 0)


def test_other_slurs_are_offered_where_there_is_one_string_only():
    fingering = finger(run_midi([40, 41, 43], tuning=(40,)), best=3)
    assert len(fingering.paths) == 3
    assert len({tab(path) for path in fingering.paths}) == 3


def test_nothing_to_play():
    fingering = finger(make_tune([]))
    assert fingering.paths[0].notes == () and fingering.crux is None
    assert fingering_json(make_tune([]), fingering)["limit_tempo"] is None


def test_json_is_the_agreed_form():
    tune = run("A3 B3 C4 A4 C5", SIXTEENTH, 186)
    answer = fingering_json(tune, finger(tune))
    assert answer["tempo"] == 186.0
    assert set(answer) == {"tempo", "limit_tempo", "crux", "paths", "shapes", "passages"}
    (passage,) = answer["passages"]
    assert passage["limit_tempo"] == answer["limit_tempo"] and passage["to"] == {"bar": 1, "beat": 2.0}
    assert set(answer["crux"]) == {"bar", "beat", "load", "why"}
    assert answer["limit_tempo"] == answer["paths"][0]["limit_tempo"]
    last = answer["paths"][0]["notes"][-1]
    assert (last["bar"], last["beat"], last["midi"]) == (1, 2.0, 72)
    assert set(last) == {"bar", "beat", "midi", "string", "fret", "finger", "entry", "load", "locked"}


def test_a_swung_eighth_may_meet_a_triplet():
    notes = [Note(parse_pitch(name), onset, Fraction(1, 6)) for name, onset in
             (("A4", Fraction(0)), ("B4", Fraction(1, 2)), ("C5", Fraction(2, 3)), ("D5", Fraction(1)))]
    path = finger(make_tune(notes, 120, feel=SWING)).paths[0]
    assert path.limit_tempo < 120 and path.crux.place.beat == Fraction(5, 3)


# The crux in words


def test_the_crux_names_its_shift():
    tune = lock(lock(run("A4 D5", SIXTEENTH, 186), 0, string=1, finger=1), 1, string=1, finger=1)
    crux = finger(lock(tune, 1, entry="pick")).crux
    assert str(crux.place) == "bar 1 beat 1.25"
    assert crux.why == "shift of 5 frets (122 mm) in 81 ms, no open string to cover it"


def test_the_crux_names_a_stroke_too_fast():
    crux = finger(run("A3 A3 A3", SIXTEENTH, 200)).crux
    rate = "picked 75 ms after the last stroke (13.3 notes a second)"
    assert crux.why == f"{rate}; a repeated note can't be slurred"
    assert crux.load == pytest.approx(1 / Player().pick_rate / 0.075)


# Refusals: one line, with bar and beat and what to do


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("E3 C2", "bar 1 beat 1.5: C2 lies 4 semitones below the lowest string (E2); "
                  "move the line up an octave, or retune"),
        ("A2+A#2+B2", "bar 1 beat 1: B2, A#2, A2 need more strings than lie under them; leave one out"),
        ("E3 - - F6", "bar 1 beat 2.5: F6 lies 3 semitones above the last fret (fret 22 sounds D6); "
                      "move the line down an octave"),
        ("E3 F2+G2", "bar 1 beat 1.5: G2 and F2 both need string 6; "
                     "move one of them an octave, leave it out, or free its string"),
    ],
)
def test_what_no_hand_can_play_is_refused(line, said):
    with pytest.raises(InputError) as refused:
        finger(run(line))
    assert str(refused.value) == said


def test_a_grip_beyond_the_hand_names_what_to_leave_out():
    with pytest.raises(InputError, match=r"^bar 1 beat 1: no hand reaches .*135 mm.*leave out C6 or F2"):
        finger(run("C6+F2"))


@pytest.mark.parametrize(
    ("locks", "said"),
    [
        ({"string": 1, "fret": 3}, "string 1 fret 3 can't give A3 "),
        ({"string": 1}, "string 1 can't give A3 "),
        ({"string": 9}, "there is no string 9"),
        ({"finger": 7}, "there is no finger 7"),
        ({"string": 2, "fret": 60, "dead": True}, "fret 60 lies past the last fret (22)"),
        ({"string": 2, "fret": 60, "entry": "harmonic"}, "string 2 fret 60 can't give A3 "),
        ({"finger": 0}, "A3 is no open string"),
        ({"entry": "hammer", "string": 5}, "no way from E4 to A3 as written: a hammer-on goes up"),
    ],
)
def test_locks_that_contradict_are_refused(locks, said):
    with pytest.raises(InputError) as refused:
        finger(lock(run("E4 A3"), 1, **locks))
    assert str(refused.value).startswith(f"bar 1 beat 1.5: {said}")
    assert ";" in str(refused.value)


def test_a_slur_needs_a_note_to_come_from():
    with pytest.raises(InputError, match="bar 1 beat 1: A3 has no note before it"):
        finger(lock(run("A3 B3"), 0, entry="hammer"))


# Written tablature keeps every reach the hand has


@pytest.mark.parametrize(
    ("line", "frets", "entry"),
    [("A4 D5", (5, 10), "hammer"), ("E5 A5", (12, 17), "hammer"), ("A4 E5", (5, 12), "slide")],
)
def test_wide_written_moves_are_kept(line, frets, entry):
    tune = lock(run(line), 0, string=1, fret=frets[0])
    tune = lock(tune, 1, string=1, fret=frets[1], entry=entry)
    path = finger(tune).paths[0]
    assert [placed.fret for placed in path.notes] == list(frets)
    assert path.notes[1].entry == entry


def test_a_written_fret_24_shows_that_the_neck_has_it():
    tune = lock(run("A5 E6"), 1, string=1, fret=24)
    assert finger(tune).paths[0].notes[1].fret == 24


def test_a_tapped_figure_begins_with_the_tap():
    tune = run("E5 A4 C5", Fraction(1, 6), 140)
    for index, fret, entry in ((0, 12, "tap"), (1, 5, "pull"), (2, 8, "hammer")):
        tune = lock(tune, index, string=1, fret=fret, entry=entry)
    assert tab(finger(tune).paths[0]) == "t1/12(0) p1/5(1) h1/8(4)"


def test_a_players_own_fingers_for_a_chord_are_kept():
    tune = run("A2+E3+A3+C#4+E4")
    for index, used in ((1, 3), (2, 1), (3, 2)):  # high note first: C#4, A3, E3
        tune = lock(tune, index, finger=used)
    assert [used for *_, used in spots(finger(tune).paths[0])] == [0, 3, 1, 2, 0]


def test_dead_notes_leave_the_hand_in_place():
    tune = lock(lock(run("A4 A4 A4"), 0, string=2, finger=1), 1, dead=True)
    path = finger(tune).paths[0]
    assert path.notes[1].finger == 0
    assert path.notes[1].position == path.notes[0].position == 10
