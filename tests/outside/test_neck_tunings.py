"""Other necks: what players of them know (common practice, no single source), read off by hand."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.music.pitch import plain
from solowright.neck import finger, parse_player, places_of
from tests.neck.lines import run, run_midi, spots

SEVEN = (64, 59, 55, 50, 45, 40, 35)
DROP_D = (64, 59, 55, 50, 45, 38)
OPEN_G = (62, 59, 55, 50, 43, 38)
DADGAD = (62, 57, 55, 50, 45, 38)


@pytest.mark.parametrize(
    ("chord", "tuning", "held"),
    [
        ("D2+A2+D3", DROP_D, [(4, 0, 0), (5, 0, 0), (6, 0, 0)]),  # the open power chord
        ("G2+D3+G3", DROP_D, [(4, 5, 1), (5, 5, 1), (6, 5, 1)]),  # one finger laid over three strings
        ("D2+G2+D3+G3+B3+D4", OPEN_G, [(n, 0, 0) for n in range(1, 7)]),  # the tuning is the chord
        ("A2+E3+A3+C#4+E4", OPEN_G, [(1, 2, 1), (2, 2, 1), (3, 2, 1), (4, 2, 1), (5, 2, 1)]),
        ("B1+F#2+B2", SEVEN, [(5, 2, 1), (6, 2, 1), (7, 0, 0)]),
        ("D2+A2+D3+G3+A3+D4", DADGAD, [(n, 0, 0) for n in range(1, 7)]),
    ],
)
def test_what_a_tuning_is_for(chord, tuning, held):
    found = spots(finger(run(chord, tuning=tuning)).paths[0])
    assert [(string, fret) for string, fret, _ in found] == [(string, fret) for string, fret, _ in held]
    assert all(not used or used in (1, 2, 3) for *_, used in found)


@pytest.mark.parametrize("capo", [1, 2, 5])
def test_a_capo_keeps_the_open_shapes(capo):
    line = [48, 52, 55, 60, 64, 60, 55, 52]
    bare = spots(finger(run_midi(line)).paths[0])
    raised = spots(finger(run_midi([midi + capo for midi in line], capo=capo)).paths[0])
    assert [(string, fret) for string, fret, _ in raised] == [(string, fret) for string, fret, _ in bare]


@pytest.mark.parametrize("fret", [2, 5, 7, 12])
def test_open_g_has_its_chords_under_one_finger(fret):
    """The whole chord moves with a barre: I, IV, V and the octave."""
    chord = "+".join(plain(midi + fret).name for midi in OPEN_G[:5])
    found = spots(finger(run(chord, tuning=OPEN_G)).paths[0])
    assert found == [(string, fret, 1) for string in range(1, 6)]


def test_drop_d_has_power_chords_on_one_fret():
    line = "F2+C3+F3 G2+D3+G3 G#2+D#3+G#3 G2+D3+G3"
    found = spots(finger(run(line, tuning=DROP_D), parse_player('open_strings = "avoid"')).paths[0])
    assert [(string, fret) for string, fret, _ in found] == [
        (string, fret) for fret in (3, 5, 6, 5) for string in (4, 5, 6)
    ]


def test_a_seventh_string_takes_what_lies_below_the_sixth():
    line = "B1 C#2 D2 E2 F#2 G2 A2 B2"
    found = spots(finger(run(line, tuning=SEVEN)).paths[0])
    assert [string for string, *_ in found[:3]] == [7, 7, 7]
    closed = finger(run(line, tuning=SEVEN), parse_player('open_strings = "avoid"'))
    assert [string for string, *_ in spots(closed.paths[0])][-1] in (5, 6)


@pytest.mark.parametrize(("capo", "chord"), [(2, "A2+C#3+E3+A3+C#4+A4"), (3, "Bb2+D3+F3+Bb3+D4+Bb4")])
def test_a_capo_makes_other_chords_of_the_open_g_grip(capo, chord):
    found = spots(finger(run(chord, capo=capo)).paths[0])
    assert found == [(1, 3, 3), (2, 0, 0), (3, 0, 0), (4, 0, 0), (5, 2, 1), (6, 3, 2)]


@settings(max_examples=30, deadline=None)
@given(st.sampled_from([SEVEN, DROP_D, OPEN_G, DADGAD]), st.integers(0, 3),
       st.lists(st.integers(44, 78), min_size=1, max_size=8))
def test_every_note_sounds_its_pitch_on_every_neck(tuning, capo, line):
    for placed in finger(run_midi(line, tuning=tuning, capo=capo)).paths[0].notes:
        assert (placed.string, placed.fret) in [
            (spot.string, spot.fret) for spot in places_of(placed.note.pitch.midi, tuning, capo)
        ]
