"""The flash budget: what counts, where it pays, what crowds."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from solowright.form.flash import SHARE, could_be_plainer
from solowright.music.line import Line
from tests.form.tunes import arc_of, bars, tune_of

STILL = "C4:1 D4:1 E4:1 D4:1 "
HALF_RUN = "C4:1/4 D4:1/4 E4:1/4 F4:1/4 G4:1/4 A4:1/4 B4:1/4 C5:1/4 "
RUN = HALF_RUN + "B4:1/4 A4:1/4 G4:1/4 F4:1/4 E4:1/4 D4:1/4 C4:1/4 D4:1/4 "
STOPS = "r:1/2 E4+G4 r:1/2 F4+A4 r:1/2 G4+B4 r:1/2 A4+C5 "


def kinds(tune):
    return [(each.kind, tune.chart.bar_index(each.start)) for each in arc_of(tune).flash.passages]


def test_a_run_faster_than_its_surroundings_is_flash_and_an_even_line_is_not():
    parts = [("A", bars("C C C C C C C C"))]
    assert ("burst", 3) in kinds(tune_of(parts, STILL * 3 + RUN + STILL * 4, bpm=140))
    assert kinds(tune_of(parts, RUN * 8, bpm=140)) == []
    assert kinds(tune_of(parts, STILL * 3 + RUN + STILL * 4, bpm=80)) == []


def test_tapped_notes_are_flash():
    tune = tune_of([("A", bars("C C C C C C C C"))], "C4:1 " * 32)
    notes = list(tune.line.notes)
    notes[4:6] = [replace(note, entry="tap") for note in notes[4:6]]
    assert kinds(replace(tune, line=Line(tuple(notes)))) == [("tapping", 1)]


def test_double_stops_on_the_hits_are_the_arrangement_and_elsewhere_flash():
    on = tuple(Fraction(1 + 2 * place, 2) for place in range(4))
    parts = [("A", bars("C C C")), ("B", bars("C C C C C"))]
    line = STILL + STOPS + STILL * 6
    assert ("double-stop", 1) in kinds(tune_of(parts, line))
    hit = [("A", bars("C") + bars("C", hits=on) + bars("C")), parts[1]]
    assert ("double-stop", 1) not in kinds(tune_of(hit, line))


def test_flash_pays_in_the_break_and_where_the_peak_is_wanted():
    parts = [
        ("A", bars("C C C C")), ("Break", bars("C", pause=True)), ("Shout", bars("C C C C")),
        ("Ending", bars("C C")),
    ]  # fmt: skip
    line = STILL + RUN + STILL * 2 + RUN + STILL * 2 + RUN + STILL * 3
    plain, in_break, peak = arc_of(tune_of(parts, line, bpm=140)).flash.passages
    assert plain.reasons == () and could_be_plainer(plain, False)
    assert "break" in in_break.reasons and not could_be_plainer(in_break, False)
    assert "climax" in peak.reasons
    assert plain.plainer is not None and in_break.plainer is None
    assert not could_be_plainer(peak, True), "the rest is saved for it"
    turn = replace(peak, reasons=("turn",))
    assert could_be_plainer(turn, True) and not could_be_plainer(turn, False)
    assert could_be_plainer(replace(turn, cluster=1), False)


def test_passages_less_than_a_bar_apart_are_a_crowd():
    line = STILL + RUN + "C4:1 D4:1 " + HALF_RUN + STILL * 5 + RUN + STILL * 2
    near, close, far = arc_of(tune_of([("A", bars("C " * 12))], line, bpm=140)).flash.passages
    assert near.cluster == close.cluster == 1 and far.cluster is None


def test_budget_is_a_share_of_the_beats_played():
    tune = tune_of([("A", bars("C C C C C C C C"))], STILL * 3 + RUN + "r:16")
    arc = arc_of(tune)
    assert arc.flash.budget == pytest.approx(SHARE * 16)  # the silent bars carry nothing
