"""The arc's figure: nothing written collides, everything stays on the sheet, every curve is there."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from solowright.demo import bundled_tune
from solowright.form import work_out_arc
from solowright.harmony import read_line
from solowright.music.tune import Tune
from solowright.neck import finger
from solowright.page.arc_figure import arc_marks, arc_png, draw_arc
from tests.form.tunes import any_solo, arc_of, bars, tune_of

WRITTEN = {"section", "wanted", "name", "unit", "scale", "count", "number", "legend", "none"}


def check_figure(tune: Tune, arc, width: float) -> None:
    marks, foot = arc_marks(tune, arc, width)
    texts = [mark for mark in marks if mark.kind in WRITTEN]
    for one, other in combinations(texts, 2):
        assert not one.box.meets(other.box), f"{one.text!r} meets {other.text!r}"
    for mark in marks:
        box = mark.box
        assert box.left >= -1 and box.top >= -1 and box.right <= width + 1 and box.bottom <= foot + 1, mark


@given(any_solo(), st.sampled_from((320.0, 500.0, 900.0)))
@settings(max_examples=30, deadline=None)
def test_no_text_meets_another_whatever_the_solo(tune: Tune, width: float):
    check_figure(tune, arc_of(tune), width)


def test_demo_fits_from_phone_to_desktop():
    tune = bundled_tune()
    arc = work_out_arc(tune, finger(tune), read_line(tune))
    for width in (300.0, 360.0, 500.0, 1200.0):
        check_figure(tune, arc, width)


def test_one_note_is_labelled_once():
    tune = tune_of([("A", bars("C"))], "C4:4")
    arc = arc_of(tune)
    check_figure(tune, arc, 500.0)
    assert [mark.text for mark in arc_marks(tune, arc, 500.0)[0] if mark.text == "C4"] == ["C4"]


def test_long_solo_thins_its_bar_numbers():
    tune = tune_of([("A", bars("C " * 64))], "C4:1 D4:1 E4:1 D4:1 " * 64)
    arc = arc_of(tune)
    check_figure(tune, arc, 320.0)
    numbers = [mark.text for mark in arc_marks(tune, arc, 320.0)[0] if mark.kind == "number"]
    assert numbers[0] == "1" and 4 <= len(numbers) <= 32


def test_figure_holds_a_shape_for_every_bar_of_every_curve():
    tune = tune_of([("A", bars("C C C"))], "C4:1 D4:1 E4:1 D4:1 C#4:4 E4:4")
    marks, _ = arc_marks(tune, arc_of(tune), 500.0)
    count = {kind: sum(mark.kind == kind for mark in marks) for kind in ("span", "mean", "column", "peak")}
    assert count == {"span": 3, "mean": 3, "column": 3, "peak": 1}
    assert sum(mark.kind == "hatched" for mark in marks) >= 1


def test_svg_is_well_formed_and_says_what_it_is():
    tune = bundled_tune()
    arc = work_out_arc(tune, finger(tune), read_line(tune))
    root = etree.fromstring(draw_arc(tune, arc).encode())
    assert root.get("aria-label") == "the arc of Tramline Nine" and root.get("role") == "img"
    defined = {node.get("id") for node in root.iter("{http://www.w3.org/2000/svg}path") if node.get("id")}
    used = {node.get("href")[1:] for node in root.iter("{http://www.w3.org/2000/svg}use")}
    assert used <= defined


def test_png_is_a_picture():
    tune = tune_of([("A", bars("C"))])
    assert arc_png(tune, arc_of(tune)).startswith(b"\x89PNG")
