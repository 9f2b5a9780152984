from dataclasses import replace
from fractions import Fraction

import pytest

from solowright.music.chart import Bar, Chart, Section
from solowright.music.line import Note
from solowright.music.pitch import parse_pitch
from solowright.music.time import SWING, Meter, TempoMap
from solowright.neck import Fretboard, Player
from solowright.neck.moments import GRACE_SHARE, find_events, find_strikes, make_moments
from tests.neck.lines import lock, make_tune, run


def moments_of(tune):
    return make_moments(tune, find_events(tune), Fretboard(), Player())


def test_seconds_follow_swing_and_tempo_changes():
    tune = run("A3 B3 C4 D4", bpm=60)
    assert [event.second for event in find_events(tune)] == [0.0, 0.5, 1.0, 1.5]
    swung = replace(tune, feel=SWING)
    assert [event.second for event in find_events(swung)] == pytest.approx([0.0, 2 / 3, 1.0, 5 / 3])
    faster = replace(tune, tempo=TempoMap(((Fraction(0), 60.0), (Fraction(1), 120.0))))
    assert [event.second for event in find_events(faster)] == pytest.approx([0.0, 0.5, 1.0, 1.25])


def test_grace_notes_take_time_from_the_note_before():
    graces = [Note(parse_pitch(name), Fraction(1), Fraction(0)) for name in ("A4", "C5")]
    tune = make_tune([*run("E4 - D5", bpm=60).line.notes, *graces], 60)
    seconds = [event.second for event in find_events(tune)]
    assert seconds == pytest.approx([0.0, 1 - 2 * GRACE_SHARE, 1 - GRACE_SHARE, 1.0])


def test_strikes_are_the_events_notes_and_seconds():
    graces = [Note(parse_pitch(name), Fraction(1), Fraction(0)) for name in ("A4", "C5")]
    tune = replace(make_tune([*run("E4+G4 - D5 F5", bpm=60).line.notes, *graces], 60), feel=SWING)
    assert find_strikes(tune) == tuple((event.notes, event.second) for event in find_events(tune))


def test_chords_are_one_moment():
    events = find_events(run("C4+E4 G4"))
    assert [[note.pitch.name for note in event.notes] for event in events] == [["E4", "C4"], ["G4"]]


def test_beats_are_the_meters():
    bars = (Bar(Meter(6, 8)),) * 2
    tune = replace(run("A3 B3 C4 D4 E4 F4 G4"), chart=Chart((Section("", bars),)))
    assert [event.on_beat for event in find_events(tune)] == [True, False, False, True, False, False, True]


def test_a_pickup_counts_from_its_bar():
    bars = (Bar(short=Fraction(1, 2)), Bar())
    tune = replace(run("A3 B3 C4 D4"), chart=Chart((Section("", bars),), pickup=True))
    assert [event.on_beat for event in find_events(tune)] == [False, True, False, True]


def test_the_input_decides_the_ways_in():
    tune = lock(lock(lock(run("A3 B3 C4 D4"), 1, entry="hammer"), 2, stroke="down"), 3, slurred=True)
    free, hammered, picked, slurred = moments_of(tune)
    assert free.pick == 0.0 and None not in free.slurs
    assert hammered.pick is None and hammered.slurs == (0.0, None, None)
    assert picked.pick == 0.0 and picked.slurs == (None, None, None)
    assert slurred.pick == Player().effort.slur_dropped and slurred.slurs == (0.0, 0.0, 0.0)


def test_refingering_drops_locks_but_not_taps():
    tune = lock(lock(run("A4 E5"), 0, string=1, fret=5, finger=1), 1, string=1, fret=12, entry="tap")
    free, tapped = find_events(tune, refinger=True)
    assert free.wants[0].string is None and not free.locked[0]
    assert tapped.entry == "tap" and tapped.wants[0].string is None


def test_what_is_held_over_the_next_onset_rings():
    held = lock(run("E3 B3 E4"), 0, duration=Fraction(2))
    assert [moment.ringing for moment in moments_of(held)] == [False, True, False]
