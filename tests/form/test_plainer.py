"""Plainer versions keep the targets and the beats, can be played, and are no harder."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings

from solowright.demo import bundled_tune
from solowright.form import Passage, with_plainer, work_out_arc
from solowright.harmony import read_line
from solowright.music.line import Line
from solowright.music.tune import Tune
from solowright.neck import finger
from tests.form.test_flash import RUN, STILL
from tests.form.tunes import any_solo, arc_of, bars, tune_of


def check_plainer(tune: Tune, passage: Passage) -> None:
    line, reading = tune.line.notes, read_line(tune)
    plainer = passage.plainer
    assert plainer is not None
    sounding = {(note.onset, note.pitch.midi) for note in plainer.notes}
    for landing in reading.targets:
        if landing.note in passage.notes:
            target = line[landing.note]
            assert (target.onset, target.pitch.midi) in sounding, "a target is lost"
    onsets = {line[place].onset for place in passage.notes}
    pitches = {line[place].pitch for place in passage.notes}
    assert all(note.onset in onsets and note.pitch in pitches for note in plainer.notes)
    assert len(plainer.notes) <= len(passage.notes)
    for note, after in zip(plainer.notes, plainer.notes[1:], strict=False):
        assert note.duration > 0 and note.end <= after.onset
    assert plainer.notes[-1].end <= max(line[place].end for place in passage.notes)
    for note in plainer.notes:
        assert tune.tuning[note.string - 1] + tune.capo + note.fret == note.pitch.midi
    whole = with_plainer(tune, plainer)
    gone = set(plainer.places)
    assert len(whole.line.notes) == len(line) - len(gone) + len(plainer.notes)
    assert finger(whole).limit_tempo > 0


def test_every_passage_of_the_demo_has_a_plainer_version():
    tune = bundled_tune()
    arc = work_out_arc(tune, finger(tune), read_line(tune), every=True)
    assert len(arc.flash.passages) == 5
    for passage in arc.flash.passages:
        check_plainer(tune, passage)
        assert passage.plainer.limit_tempo >= passage.plainer.before


def test_moving_triads_become_their_top_notes_on_the_beats():
    tune = bundled_tune()
    arc = work_out_arc(tune, finger(tune), read_line(tune), every=True)
    triads = next(each for each in arc.flash.passages if tune.chart.place(each.start).bar == 16)
    notes = triads.plainer.notes
    assert [note.pitch.tone.name for note in notes] == ["G", "E", "C#", "Bb"]
    assert [tune.chart.place(note.onset).beat for note in notes] == [1, 2, 3, 4]
    assert triads.plainer.degrees == ("#9", "1", "13", "#11")
    assert triads.plainer.limit_tempo > 1.5 * triads.plainer.before


def test_a_fast_run_becomes_chord_tones_in_a_slower_rhythm():
    tune = tune_of([("A", bars("C " * 10))], STILL * 3 + RUN + STILL * 6, bpm=140)
    (run,) = arc_of(tune).flash.passages
    check_plainer(tune, run)
    assert {note.onset % Fraction(1, 2) for note in run.plainer.notes} == {0}
    assert len(run.plainer.notes) < len(run.notes) / 1.5


def test_breaths_too_short_to_hear_are_bridged_and_rests_kept():
    chopped = RUN.replace(":1/4", ":3/16").replace(" ", " r:1/16 ").removesuffix("r:1/16 ") + "r:1/16 "
    tune = tune_of([("A", bars("C " * 10))], STILL * 3 + chopped + STILL * 6, bpm=140)
    (run,) = arc_of(tune).flash.passages
    check_plainer(tune, run)
    for note, after in zip(run.plainer.notes, run.plainer.notes[1:], strict=False):
        assert note.end == after.onset


def test_taps_become_plain_notes():
    tune = tune_of([("A", bars("C " * 8))], "C4:1 E4:1 G4:1 E4:1 " * 8)
    notes = list(tune.line.notes)
    notes[5:7] = [replace(note, entry="tap") for note in notes[5:7]]
    tune = replace(tune, line=Line(tuple(notes)))
    (tapping,) = arc_of(tune).flash.passages
    check_plainer(tune, tapping)
    assert all(note.entry != "tap" for note in tapping.plainer.notes)
    assert [note.pitch for note in tapping.plainer.notes] == [note.pitch for note in notes[5:7]]


@given(any_solo())
@settings(max_examples=25, deadline=None)
def test_targets_and_beats_are_always_kept(tune: Tune):
    for passage in arc_of(tune, every=True).flash.passages:
        if passage.plainer is not None:
            check_plainer(tune, passage)


def test_a_slur_out_of_the_passage_is_struck_anew():
    tune = bundled_tune()
    arc = work_out_arc(tune, finger(tune), read_line(tune), every=True)
    for passage in arc.flash.passages:
        whole = with_plainer(tune, passage.plainer)
        last = tune.line.notes[passage.notes[-1]].onset
        following = min((note.onset for note in whole.line.notes if note.onset > last), default=None)
        after = [note for note in whole.line.notes if note.onset == following]
        assert all(note.entry not in ("hammer", "pull", "slide") for note in after)


@pytest.mark.parametrize("place", range(5))
def test_plainer_is_read_again(place: int):
    tune = bundled_tune()
    passage = work_out_arc(tune, finger(tune), read_line(tune), every=True).flash.passages[place]
    assert all(text.strip().endswith((".", "…")) for text in passage.plainer.reasons)
