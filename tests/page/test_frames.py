"""Frames show every note of a grip once, in its place, mirrored for the left hand; lettering never is."""

from __future__ import annotations

import re
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.music.chart import Chart, Section
from solowright.music.line import make_line
from solowright.music.tune import Tune
from solowright.page.booklet import booklet
from solowright.page.drawing import Mark
from solowright.page.frames import Grip, draw_frame, draw_grips, find_grips, frame_marks
from tests.page.test_booklet import page_count
from tests.page.tunes import bar, grip, run

STRING, FRET = 6.4, 8.6  # points, as drawn
C_MAJOR = Grip(((1, 0, 0), (2, 1, 1), (3, 0, 0), (4, 2, 2), (5, 3, 3)), 6)
F_BARRE = Grip(((1, 1, 1), (2, 1, 1), (3, 2, 2), (4, 3, 4), (5, 3, 3), (6, 1, 1)), 6)


@st.composite
def grips(draw: st.DrawFn) -> Grip:
    strings = draw(st.sampled_from([6, 7]))
    used = draw(st.lists(st.integers(1, strings), min_size=1, max_size=strings, unique=True))
    low = draw(st.integers(1, 18))
    places = []
    for string in sorted(used):
        fret = draw(st.one_of(st.just(0), st.integers(low, low + 4)))
        places.append((string, fret, min(4, fret - low + 1) if fret else 0))
    return Grip(tuple(places), strings)


def middle(mark: Mark) -> tuple[float, float]:
    return (mark.box.left + mark.box.right) / 2, (mark.box.top + mark.box.bottom) / 2


def of(marks: list[Mark], *kinds: str) -> list[Mark]:
    return [mark for mark in marks if mark.kind in kinds]


@settings(max_examples=60, deadline=None)
@given(grips())
def test_every_string_says_what_it_does(held: Grip) -> None:
    marks = frame_marks(held)
    stopped = {string: fret for string, fret, _ in held.places if fret}
    assert len(of(marks, "open")) == len(held.places) - len(stopped)
    assert len(of(marks, "silent")) == held.strings - len(held.places)
    covered = set()
    for mark in of(marks, "dot", "barre"):
        row = round(mark.box.top / FRET - 0.2)
        for string, fret in stopped.items():
            x = STRING * (held.strings - string)
            if mark.box.left < x < mark.box.right and fret - held.first == row:
                covered.add(string)
    assert covered == set(stopped)
    assert all(held.first <= fret < held.first + held.frets for fret in stopped.values())


@settings(max_examples=60, deadline=None)
@given(grips())
def test_the_left_hand_sees_it_mirrored_with_the_letters_as_they_are(held: Grip) -> None:
    right, left = frame_marks(held), frame_marks(held, left_handed=True)
    wide = STRING * (held.strings - 1)

    def places(marks: list[Mark], mirrored: bool, *kinds: str) -> list[tuple[float, float, str]]:
        found = ((*middle(mark), mark.text) for mark in of(marks, *kinds))
        return sorted((round(wide - x if mirrored else x, 3), round(y, 3), text) for x, y, text in found)

    kinds = ("dot", "barre", "open", "silent")
    assert places(left, True, *kinds) == places(right, False, *kinds)
    texts = ("finger", "fret")
    assert sorted(m.text for m in of(left, *texts)) == sorted(m.text for m in of(right, *texts))
    assert not re.search(r"scale\(-", draw_frame(held, left_handed=True).svg)


def test_an_open_chord_has_its_nut_and_rings() -> None:
    assert (C_MAJOR.first, C_MAJOR.frets) == (1, 4)
    marks = frame_marks(C_MAJOR)
    xs = [round(middle(mark)[0] / STRING) for mark in of(marks, "open")]
    assert xs == [5, 3]  # the high string on the right
    assert [round(middle(mark)[0] / STRING) for mark in of(marks, "silent")] == [0]
    assert not of(marks, "fret")
    said = draw_frame(C_MAJOR).text
    assert said.startswith("grip: string 5 fret 3 finger 3, string 4 fret 2 finger 2, string 3 open")


def test_a_barre_is_one_bar_with_one_finger() -> None:
    marks = frame_marks(F_BARRE)
    (laid,) = of(marks, "barre")
    assert laid.box.left < 0 < 5 * STRING < laid.box.right
    assert sorted(mark.text for mark in of(marks, "finger")) == ["1", "2", "3", "4"]


def test_up_the_neck_the_fret_stands_beside_it_on_the_thick_strings_side() -> None:
    high = Grip(((2, 8, 4), (3, 9, 3), (4, 7, 1)), 6)
    (right,), (left,) = (of(frame_marks(high, lefty), "fret") for lefty in (False, True))
    assert right.text == left.text == "7"
    assert right.box.right < 0 and left.box.left > 5 * STRING


def chords_tune() -> Tune:
    notes = [*grip(0, 1, "1/0 2/1.1 3/0 4/2.2 5/3.3"), *grip(2, 1, "1/0 2/1.1 3/0 4/2.2 5/3.3"),
             *grip(4, 1, "1/5.1 2/5.1 3/6.2"), *run(6, "1/2", "3/5.1 3/7.3")]
    return Tune("Grips", Chart((Section("A", (bar("C"), bar("A7"))),)), make_line(notes))


def test_each_grip_stands_once_over_the_bar_where_it_comes() -> None:
    tune = chords_tune()
    assert [(each.bar, each.chord.symbol if each.chord else "") for each in find_grips(tune)] == [
        (1, "C"), (2, "A7")
    ]
    (row,) = draw_grips(tune, 500.0)
    assert 'data-text="bar 1"' in row.svg and 'aria-label="grips"' in row.svg
    rows = draw_grips(tune, 70.0)
    assert len(rows) == 2 and all(each.width == 70.0 for each in rows)


def test_no_grips_no_rows() -> None:
    tune = chords_tune()
    single = replace(tune, line=make_line([n for n in tune.line.notes if n.onset >= 6]))
    assert draw_grips(single, 500.0) == () and find_grips(single) == ()


def test_the_booklet_shows_them() -> None:
    tune = chords_tune()
    assert page_count(booklet(tune, left_handed=True)) == page_count(booklet(tune)) == 2
    first = booklet(tune)
    assert booklet(tune) == first != booklet(tune, left_handed=True)
