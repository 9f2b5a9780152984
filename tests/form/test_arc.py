"""The arc: what always holds of its curves, and what a listener would say of solos built to be clear."""

from __future__ import annotations

import json
from dataclasses import replace
from math import isfinite

import pytest
from hypothesis import given, settings

from solowright.demo import bundled_tune
from solowright.errors import InputError
from solowright.form import arc_json, arc_text, work_out_arc
from solowright.form.words import tell_arc
from solowright.harmony import read_line
from solowright.music.line import Line
from solowright.music.tune import Tune
from solowright.neck import finger
from tests.form.tunes import any_solo, arc_of, bars, tune_of

LOW = "C3:1/2 D3:1/2 E3:1 r:2 "
HIGH = "C5:1/2 E5:1/2 D5:1/2 C5:1/2 E5:1/2 D5:1/2 C5:1/2 D5:1/2 "


@given(any_solo())
@settings(max_examples=25, deadline=None)
def test_every_curve_has_one_finite_value_a_bar(tune: Tune):
    arc = arc_of(tune)
    curves, count = arc.curves, len(tune.chart.bars)
    assert len(arc.numbers) == count
    for name in ("density", "load", "tension", "flash", "level", "intensity"):
        curve = getattr(curves, name)
        assert len(curve) == count and all(isfinite(value) for value in curve), name
    for name in ("tension", "flash", "intensity"):
        assert all(0 <= value <= 1 for value in getattr(curves, name)), name
    sounding = set()
    for note in tune.line.notes:
        sounding |= {
            bar for bar in range(count)
            if note.onset < tune.chart.starts[bar + 1] and note.end > tune.chart.starts[bar]
        }  # fmt: skip
    for name in ("pitch", "low", "high"):
        curve = getattr(curves, name)
        assert {bar for bar, value in enumerate(curve) if value is not None} == sounding, name


@given(any_solo())
@settings(max_examples=15, deadline=None)
def test_answer_is_plain_json_about_bars_that_exist(tune: Tune):
    arc = arc_of(tune)
    answer = json.loads(json.dumps(arc_json(tune, arc), allow_nan=False))
    numbers = answer["bars"]
    assert all(len(curve) == len(numbers) for curve in answer["curves"].values())
    for sentence in answer["sentences"]:
        assert sentence["from"] in numbers and sentence["to"] in numbers
        assert sentence["from"] <= sentence["to"]
        assert sentence["text"].endswith((".", "…")) and "None" not in sentence["text"]


def test_chart_without_a_line_has_an_arc_of_nothing():
    tune = tune_of([("Vamp", bars("A7 D7"))])
    arc = arc_of(tune)
    assert arc.climax is None and arc.way_back is None and arc.flash.passages == ()
    assert arc.curves.intensity == (0.0, 0.0) and arc.curves.pitch == (None, None)
    assert "no line yet" in arc_text(tune, arc)


def test_pace_register_and_load_of_a_bar_are_those_counted_by_hand():
    tune = tune_of([("", bars("C C"))], "C4:1 E4:1 G4:1 C5:1 r:2 E4+G4:2", bpm=120)
    arc = arc_of(tune)
    fingering = finger(tune)
    assert arc.curves.density == pytest.approx((2.0, 0.5))  # two notes at once are one attack
    assert arc.curves.low == (60, 64) and arc.curves.high == (72, 67)
    assert arc.curves.pitch == pytest.approx(((60 + 64 + 67 + 72) / 4, 67.0))
    assert arc.curves.load[0] == max(placed.load for placed in fingering.paths[0].notes[:4])


def test_a_note_held_over_the_barline_sounds_in_both_bars_but_is_struck_in_one():
    arc = arc_of(tune_of([("", bars("C C"))], "r:3 C4:3"))
    assert arc.curves.density == pytest.approx((0.5, 0.0))
    assert arc.curves.low == (60, 60)


def test_tension_is_the_share_of_time_against_the_chord():
    tune = tune_of([("", bars("C C G7 C"))], "C4:2 E4:2 C4:2 C#4:2 F4:2 G#4:2 A4:4")
    chord_tones, foreign, altered, mild = arc_of(tune).curves.tension
    assert chord_tones == 0
    assert foreign == pytest.approx(0.5)  # half the bar a note that no C chord holds
    assert 0 < altered < foreign  # the flat nine of a dominant rubs less than that
    assert 0 < mild < 0.5


def test_level_grows_with_notes_at_once_and_falls_with_slurs():
    text = "C4:1 D4:1 E4:1 F4:1 "
    fifths = "C4+G4:1 D4+A4:1 E4+B4:1 F4+C5:1"
    single, double = arc_of(tune_of([("", bars("C C"))], text + fifths)).curves.level
    assert 3.0 <= double - single <= 5.0  # 3 dB for two at once, the rest for lying higher
    plain = tune_of([("", bars("C"))], text)
    first, second, *others = plain.line.notes
    slurred = Line((first, replace(second, entry="hammer", slurred=True), *others))
    softer = arc_of(replace(plain, line=slurred)).curves.level
    assert softer[0] < arc_of(plain).curves.level[0]


def test_measured_levels_take_the_place_of_the_estimate():
    tune = tune_of([("", bars("C C"))], "C4:4 D4:4")
    arc = arc_of(tune, levels=(-18.0, -12.5))
    assert arc.curves.level == (-18.0, -12.5) and arc.level_measured
    assert all(told.about != "level" for told in tell_arc(tune, arc))
    with pytest.raises(InputError, match="3 sound levels for 2 bars"):
        arc_of(tune, levels=(0.0, 0.0, 0.0))


def test_the_peak_stands_where_the_last_section_before_the_ending_wants_it():
    parts = [("Vamp", bars("C C C C")), ("Bridge", bars("C C C C")), ("Ending", bars("C C"))]
    arc = arc_of(tune_of(parts, LOW * 4 + HIGH * 4 + LOW * 2))
    assert arc.climax.where == "there"
    assert arc.climax.wanted.name == "Bridge" and 4 <= arc.climax.bar < 8


def test_a_peak_at_the_start_is_told_to_be_early():
    parts = [("Vamp", bars("C C C C")), ("Bridge", bars("C C C C"))]
    tune = tune_of(parts, HIGH * 4 + LOW * 4)
    arc = arc_of(tune)
    assert arc.climax.where == "early" and arc.climax.bar < 4
    assert "lead on to Bridge (bars 5–8)" in arc_text(tune, arc)


def test_a_section_named_for_the_peak_has_it_wherever_it_stands():
    parts = [("Vamp", bars("C C C")), ("Shout", bars("C C C")), ("Vamp", bars("C C C"))]
    arc = arc_of(tune_of(parts, LOW * 3 + HIGH * 3 + LOW * 3))
    assert arc.climax.wanted.name == "Shout" and arc.climax.where == "there"


def test_a_short_line_is_not_asked_for_a_peak():
    arc = arc_of(tune_of([("Vamp", bars("C C C C"))], HIGH * 2 + LOW * 2))
    assert arc.climax.where == "short"


def test_two_peaks_of_one_height_are_rivals():
    parts = [("A", bars("C C C C")), ("B", bars("C C C C"))]
    tune = tune_of(parts, LOW + HIGH + LOW + LOW + LOW + LOW + HIGH + LOW)
    arc = arc_of(tune)
    assert arc.climax.bar == 6 and arc.climax.rival == 1
    assert "Bar 2 comes close to it: a little less there would leave the top to bar 7." in arc_text(tune, arc)


def test_an_octave_up_is_a_contrast_of_register_and_the_same_again_is_none():
    parts = [("A", bars("C C")), ("B", bars("C C")), ("C", bars("C C"))]
    arc = arc_of(tune_of(parts, "C3:1 D3:1 E3:1 D3:1 " * 2 + "C4:1 D4:1 E4:1 D4:1 " * 4))
    up, same = arc.contrasts
    assert up.strongest == "register" and up.higher == pytest.approx(12) and up.size > 1
    assert same.size < 1 and same.faster == pytest.approx(1)


def test_demo_peaks_in_its_shout_and_leaves_the_band_its_room():
    tune = bundled_tune()
    arc = work_out_arc(tune, finger(tune), read_line(tune))
    assert arc.climax.where == "there" and arc.numbers[arc.climax.bar] == 32
    assert [arc.numbers[row.bar] for row in arc.hits] == [7, 27, 28, 32, 35, 36]
    assert all(not row.left for row in arc.hits)
    assert all(room.free for room in arc.answers)
    assert {each.kind for each in arc.flash.passages} == {
        "double-stop", "shape-shift", "open-string-figure", "harmonics",
    }  # fmt: skip
    assert arc.flash.spent == pytest.approx(sum(arc.flash.by_section))
