from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from solowright.harmony.ground import BAR, BEAT, HALF_BAR, OFF, heard_pitch, lay_out
from solowright.music.line import Bend, make_line
from tests.harmony.tunes import type_tune


def test_weights_follow_the_meter() -> None:
    ground = lay_out(type_tune("C", "C4 D4 E4 F4 G4 A4 B4 C5"))
    assert [event.weight for event in ground.events] == [BAR, OFF, BEAT, OFF, HALF_BAR, OFF, BEAT, OFF]


def test_notes_struck_together_are_one_event_and_graces_lead_into_it() -> None:
    ground = lay_out(type_tune("C7", "~D#4 E4+G4 C5"))
    assert [(event.notes, event.graces, event.midi) for event in ground.events] == [
        ((1, 2), (0,), 67),
        ((3,), (), 72),
    ]


def test_dead_notes_belong_to_no_event() -> None:
    tune = type_tune("C", "C4 D4 E4")
    notes = tune.line.notes
    tune = replace(tune, line=make_line([notes[0], replace(notes[1], dead=True), notes[2]]))
    assert [event.notes for event in lay_out(tune).events] == [(0,), (2,)]


def test_phrases_are_cut_at_rests_of_a_beat_and_behind_long_notes() -> None:
    ground = lay_out(type_tune("C | C | C", "C4 D4 E4 F4 r:1 G4 A4 r:1/2 B4:5/2 C5 D5"))
    assert ground.phrases == ((0, 4), (4, 7), (7, 9))


@pytest.mark.parametrize(
    ("line", "pushed"),
    [
        ("r:7/2 A4:3/2", True),  # rings over the change
        ("r:7/2 A4 r:1 C5", True),  # says F7, not C7, and is left by a leap
        ("r:7/2 A4 Bb4:1", False),  # led on by step: an approach to the next note
        ("r:3 A4:1 C5", False),  # a whole beat before the change
        ("r:7/2 G4 C5", False),  # its own chord holds it
    ],
)
def test_a_note_pushed_ahead_of_a_change_belongs_to_the_chord_after(line: str, pushed: bool) -> None:
    ground = lay_out(type_tune("C7 | F7", line))
    assert ground.events[0].pushed is pushed


def test_a_bent_note_is_heard_at_its_goal() -> None:
    note = type_tune("C", "D4").line.notes[0]
    assert heard_pitch(replace(note, bends=(Bend(Fraction(2)), Bend(Fraction(0), "release")))) == 64
    assert heard_pitch(replace(note, bends=(Bend(Fraction(1, 2)),))) == 62


def test_a_line_without_notes_has_no_events() -> None:
    ground = lay_out(type_tune("C", "r:4"))
    assert ground.events == ground.phrases == ground.stretches == ()


def test_a_grace_with_nothing_to_lead_into_stands_for_itself() -> None:
    ground = lay_out(type_tune("C7", "E4 ~D#4 r:1 C5 ~B4"))
    assert [event.notes for event in ground.events] == [(0,), (1,), (2,), (3,)]
    assert not any(event.graces for event in ground.events)
