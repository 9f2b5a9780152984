"""Breaks, hits, answers and the way back, each on a line built for it."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import log2

import pytest

from solowright.form import arc_text
from solowright.music.chart import Place
from solowright.music.line import Line
from solowright.neck import fret_distance, gap
from tests.form.tunes import arc_of, bars, tune_of


def test_break_tells_what_fills_it_and_when_the_line_comes_in():
    parts = [("A", bars("C C")), ("Break", bars("C C", pause=True)), ("B", bars("C"))]
    tune = tune_of(parts, "C4:1 D4:1 E4:1 D4:1 r:4 r:1 C4 E4 G4 C5 E5 C5 r:4", bpm=120)
    (fill,) = arc_of(tune).breaks
    assert (fill.first, fill.last, fill.notes) == (2, 3, 6)
    assert fill.enters == 1 and fill.silence == 4
    assert fill.density == pytest.approx(6 / 4)  # two bars at 120 last four seconds
    assert fill.before == pytest.approx((2.0 + 0.0) / 2)
    assert "chord-arpeggio" in fill.devices


def test_silent_break_is_told_as_a_silence():
    tune = tune_of([("A", bars("C")), ("Break", bars("C", pause=True))], "C4:4")
    (fill,) = arc_of(tune).breaks
    assert fill.enters is None and fill.notes == 0
    assert "so is the line" in arc_text(tune, arc_of(tune))


def test_hits_are_played_where_a_note_begins_with_them_and_left_where_it_holds():
    hits = (Fraction(0), Fraction(3, 2), Fraction(3))
    tune = tune_of([("A", bars("C", hits=hits))], "C4:1 D4:2 E4:1")
    (row,) = arc_of(tune).hits
    assert row.played == (0, 3) and row.left == (Fraction(3, 2),) and row.between == 1
    assert "the hit on the and of 2 is left to the band, and the line plays on through it" in arc_text(
        tune, arc_of(tune)
    )


@pytest.mark.parametrize(
    ("line", "attacks", "rest"),
    [("C4:1 D4:1 r:2", 0, 2), ("C4:1 D4:1 E4:1 r:1", 1, 0), ("C4:4", 0, 0)],
)
def test_answer_has_room_where_nothing_begins_over_it(line: str, attacks: int, rest: int):
    tune = tune_of([("A", bars("C", answer=(Fraction(2), Fraction(5, 2))))], line)
    (room,) = arc_of(tune).answers
    assert (room.start, room.end) == (2, 3)
    assert room.attacks == attacks and room.free == (attacks == 0) and room.rest == rest


def test_answer_without_a_rhythm_takes_the_bar():
    (room,) = arc_of(tune_of([("A", bars("C C", answered=True)[:1] + bars("C"))], "C4:1 r:3 D4:4")).answers
    assert (room.start, room.end, room.attacks) == (0, 4, 1)


def test_way_back_counts_to_the_downbeat_after_the_chart():
    tune = tune_of([("A", bars("C C"))], "C4:4 r:2 D4:1", bpm=60)
    way = arc_of(tune).way_back
    assert way.last == Place(2, Fraction(3)) and way.entry == Place(3, Fraction(1)) and not way.known
    assert way.quarters == 2 and way.time == pytest.approx(2.0) and way.rings == pytest.approx(1.0)
    assert way.enough


def test_way_back_goes_to_the_section_that_follows_the_line():
    tune = tune_of([("Solo", bars("C C")), ("Melody", bars("C C"))], "C4:4 D4:4", bpm=60)
    way = arc_of(tune).way_back
    assert way.known and way.entry == Place(3, Fraction(1)) and way.time == pytest.approx(4.0)


def test_way_back_is_tight_when_the_hand_has_far_to_go():
    tune = tune_of([("A", bars("C"))], "C3:1 D3:1 E3:1 C4:1", bpm=200)
    first, *between, last = tune.line.notes
    ends = replace(first, string=5, fret=3, finger=1), replace(last, string=5, fret=15, finger=1)
    tune = replace(tune, line=Line((ends[0], *between, ends[1])))
    way = arc_of(tune).way_back
    far = fret_distance(15) - fret_distance(3)
    assert way.mm == pytest.approx(far)
    assert way.hand == pytest.approx(0.030 + 0.025 * log2(2 * far / gap(3)))
    assert way.time == pytest.approx(0.3) and not way.enough
    assert "tight" in arc_text(tune, arc_of(tune))
