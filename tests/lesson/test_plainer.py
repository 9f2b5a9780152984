"""The plainer line: what must stay stays, what went had to go, and the hand comes where it was wished."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.demo import bundled_tune
from solowright.errors import InputError
from solowright.harmony import read_line
from solowright.lesson.patterns import find_twins
from solowright.lesson.plainer import Plainer, make_plainer
from solowright.lesson.plainer_words import change_lines, plainer_summary
from solowright.music.line import make_line
from solowright.music.pitch import plain
from solowright.music.tune import Tune
from solowright.neck import finger
from tests.lesson.tunes import steps_tune


@cache
def demo_plainer() -> tuple[Tune, Plainer]:
    tune = bundled_tune()
    return tune, make_plainer(tune, read_line(tune), 0.75)


SHARES = st.floats(0.5, 1.0)


@given(SHARES)
@settings(max_examples=8, deadline=None)
def test_what_carries_the_music_stays(share: float) -> None:
    tune = steps_tune()
    reading = read_line(tune)
    plainer = make_plainer(tune, reading, share)
    played = {(note.onset, note.pitch.midi) for note in plainer.worked.tune.line.notes}
    for target in reading.targets:
        note = tune.line.notes[target.note]
        assert (note.onset, note.pitch.midi) in played
    assert plainer.targets == (len(reading.targets), len(reading.targets))
    everything = {(note.onset, note.pitch.midi) for note in tune.line.notes}
    assert played <= everything, "nothing is played that the full line doesn't have"
    assert len(played) + len(plainer.left) == len(tune.line.notes)


@given(SHARES)
@settings(max_examples=8, deadline=None)
def test_the_limit_is_the_one_that_is_told(share: float) -> None:
    tune = steps_tune()
    plainer = make_plainer(tune, read_line(tune), share)
    again = finger(plainer.worked.tune)
    assert again.limit_tempo == pytest.approx(plainer.worked.fingering.limit_tempo)
    assert plainer.reached == (again.limit_tempo >= tune.tempo.first / share)


def test_the_demo_comes_within_a_slower_hand() -> None:
    tune, plainer = demo_plainer()
    before = finger(tune).limit_tempo
    assert before < plainer.wanted <= plainer.worked.fingering.limit_tempo
    assert 0 < len(plainer.left) < len(tune.line.notes) / 4


def test_hits_and_double_stops_stay() -> None:
    tune = bundled_tune()
    plainer = make_plainer(tune, read_line(tune), 0.6)
    left = {each.note for each in plainer.left}
    bars = zip(tune.chart.bars, tune.chart.starts, strict=False)
    hits = {start + hit for bar, start in bars for hit in bar.hits}
    onsets = [note.onset for note in tune.line.notes]
    assert not any(onsets[place] in hits or onsets.count(onsets[place]) > 1 for place in left)


def test_no_note_went_without_need() -> None:
    """Any group that is put back brings the limit under the wish."""
    tune, plainer = demo_plainer()
    reading = read_line(tune)
    left = {each.note for each in plainer.left}
    twins = find_twins(tune, reading)
    for place in sorted(left):
        back = left & set(twins.get(place, (place,)))
        kept = [note for n, note in enumerate(tune.line.notes) if n not in left - back]
        assert finger(replace(tune, line=make_line(kept))).limit_tempo < plainer.wanted


def test_a_pattern_stays_one() -> None:
    """Of the triads in bar 16 each loses the same notes, or none."""
    tune, plainer = demo_plainer()
    start = tune.chart.starts[tune.chart.index(16)]
    beats = [
        tune.line.notes[each.note].onset - start
        for each in plainer.left
        if start <= tune.line.notes[each.note].onset < start + 4
    ]
    parts = [{beat % 1 for beat in beats if beat // 1 == number} for number in range(4)]
    assert beats and all(part == parts[0] for part in parts)


def test_the_note_before_is_held_over() -> None:
    tune = bundled_tune()
    plainer = make_plainer(tune, read_line(tune), 0.85)
    gone = tune.line.notes[plainer.left[0].note]
    before = max((n for n in plainer.worked.tune.line.notes if n.onset < gone.onset), key=lambda n: n.onset)
    assert before.end == gone.end


def test_ornaments_go_first() -> None:
    tune = steps_tune()
    last = max(tune.line.notes, key=lambda note: note.onset)
    grace = replace(last, duration=Fraction(0), pitch=plain(last.pitch.midi - 1), string=None, fret=None)
    notes = [replace(note, trill=2) if note.onset == 4 else note for note in tune.line.notes]
    ornate = replace(tune, line=make_line([*notes, grace]))
    plainer = make_plainer(ornate, read_line(ornate), 1.0)
    assert [each.what for each in plainer.left] == ["grace note"]
    assert plainer.trills and not any(note.trill for note in plainer.worked.tune.line.notes)
    told = change_lines(plainer, ornate)
    assert any("grace note" in line for line in told) and any("trill" in line for line in told)


def test_what_changed_is_told_bar_by_bar() -> None:
    tune = bundled_tune()
    reading = read_line(tune)
    plainer = make_plainer(tune, reading, 0.85)
    assert change_lines(plainer, tune)[0] == "Bar 13: left out E♭ on the and of 4 (approach note)."
    summary = plainer_summary(plainer, reading)
    assert f"{len(plainer.left)} of 255 notes" in summary and "186" in summary


def test_a_wish_beyond_reason_is_refused() -> None:
    tune = steps_tune()
    with pytest.raises(InputError, match="give a share"):
        make_plainer(tune, read_line(tune), 0.1)
