"""What is told of another key and another tempo is what the two fingerings show."""

from __future__ import annotations

from solowright.demo import bundled_tune
from solowright.form import tell_changes
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
    assert f"the limit is {after.limit_tempo:.0f}, {before.limit_tempo:.0f} before" in told
    frets = [placed.fret for placed in after.paths[0].notes if placed.fret]
    assert f"from fret {min(frets)} to fret {max(frets)}" in told
    opened = sum(placed.fret == 0 for placed in after.paths[0].notes)
    assert f"Open strings: {'no' if not opened else opened}" in told


def test_a_tempo_beyond_the_hand_is_told_as_such():
    tune = bundled_tune()
    fast = tune.at_tempo(300)
    told = tell_changes(tune, finger(tune), fast, finger(fast))
    assert "beyond the hand" in told[0]


def test_nothing_changed_is_told_in_one_sentence():
    tune = tune_of([("A", bars("C"))], "C4:1 D4:1 E4:1 D4:1")
    told = tell_changes(tune, finger(tune), tune, finger(tune))
    assert len(told) == 1 and told[0].endswith("as before.")
