"""What is told of another key and another tempo is what the two fingerings show."""

from __future__ import annotations

from dataclasses import replace

import pytest

from solowright.demo import bundled_tune
from solowright.form import move_to_key, tell_changes
from solowright.music.line import Line
from solowright.music.other_key import in_key
from solowright.music.pitch import parse_tone
from solowright.music.tune import Key
from solowright.neck import finger
from tests.form.tunes import bars, tune_of


def test_another_key_tells_limit_neck_and_open_strings():
    tune = bundled_tune()
    before = finger(tune)
    moved, _ = in_key(tune, Key(parse_tone("E")))
    after = finger(moved)
    told = " ".join(tell_changes(tune, before, moved, after))
    was, now = (f"{each.limit_tempo:.0f}" for each in (before, after))
    assert f"the limit is {now}, {'as' if was == now else was} before" in told
    frets = [placed.fret for placed in after.paths[0].notes if placed.fret]
    assert f"from fret {min(frets)} to fret {max(frets)}" in told
    assert all(placed.fret for placed in after.paths[0].notes)
    assert "No open string sounds any more." in told


@pytest.mark.parametrize("name", ["Eb", "G", "F#"])
def test_a_tune_moved_to_a_key_can_be_fingered_and_tells_all(name: str):
    tune = bundled_tune()
    moved, told = move_to_key(tune, Key(parse_tone(name)))
    assert moved.key.tonic.name == name
    assert told[0].startswith(f"From A to {name}: ")
    assert any(f"the limit is {finger(moved).limit_tempo:.0f}" in text for text in told)


def test_places_that_no_hand_can_keep_are_dropped_and_told():
    # Frets 12 and 19 lie 108 mm apart, within a hand's reach of 135; frets 7 and 14 lie 144 mm apart.
    tune = tune_of([("A", bars("C"))], "E4:2 B4+A4:2")
    *_, high, low = tune.line.notes
    grip = (replace(high, string=2, fret=12, finger=1), replace(low, string=4, fret=19, finger=4))
    tune = replace(tune, line=Line((tune.line.notes[0], *grip)))
    finger(tune)
    moved, told = move_to_key(tune, Key(parse_tone("G")))
    assert "No hand can keep" in told[1] and all(note.string is None for note in moved.line.notes)


def test_a_line_without_written_places_keeps_its_shapes():
    # A closed scale fragment up and down: nothing open, so all of it can move a minor third up.
    tune = tune_of([("A", bars("C"))], "C4:1/2 D4:1/2 E4:1/2 F4:1/2 G4:1/2 F4:1/2 E4:1/2 D4:1/2")
    first = tune.line.notes[0]
    tune = replace(tune, line=Line((replace(first, string=4, finger=2), *tune.line.notes[1:])))
    before = finger(tune).paths[0].notes
    moved, told = move_to_key(tune, Key(parse_tone("Eb")))
    after = finger(moved).paths[0].notes
    assert all(placed.fret for placed in before)
    assert [(new.string, new.fret) for new in after] == [(old.string, old.fret + 3) for old in before]
    assert any("8 of 8 notes keep string and finger" in text for text in told)


def test_the_own_key_changes_nothing():
    tune = bundled_tune()
    assert move_to_key(tune, tune.key) == (tune, [])


def test_a_tempo_beyond_the_hand_is_told_as_such():
    tune = bundled_tune()
    fast = tune.at_tempo(300)
    told = tell_changes(tune, finger(tune), fast, finger(fast))
    assert "beyond the hand" in told[0]


def test_nothing_changed_is_told_in_one_sentence():
    tune = tune_of([("A", bars("C"))], "C4:1 D4:1 E4:1 D4:1")
    told = tell_changes(tune, finger(tune), tune, finger(tune))
    assert len(told) == 1 and told[0].endswith("as before.")
