"""The hand path as drawn, against the system over it and against the neck."""

from __future__ import annotations

from itertools import combinations, pairwise
from xml.etree import ElementTree

import pytest

from solowright.demo import bundled_tune
from solowright.music.chart import Chart, Section
from solowright.music.line import make_line
from solowright.music.tune import Tune
from solowright.neck import finger, fret_distance
from solowright.neck.hand_path import trace_hand
from solowright.page.engrave import System, engrave
from solowright.page.hand_path import HandFigure, cost_text, draw_hand_paths
from tests.page.tunes import bar, grip

WIDTHS = (500.0, 250.0)


@pytest.fixture(scope="module", params=WIDTHS)
def drawn(request: pytest.FixtureRequest) -> tuple[tuple[System, ...], tuple[HandFigure, ...]]:
    tune = bundled_tune()
    systems = engrave(tune, width=request.param)
    return systems, draw_hand_paths(tune, finger(tune).paths[0], systems)


def test_nothing_meets_and_nothing_leaves_the_figure(
    drawn: tuple[tuple[System, ...], tuple[HandFigure, ...]],
) -> None:
    for figure in drawn[1]:
        ElementTree.fromstring(figure.svg)
        words = [mark for mark in figure.marks if mark.kind in ("cost", "fret-number")]
        dots = [mark for mark in figure.marks if mark.kind == "dot"]
        for one, other in combinations(words, 2):
            assert not one.box.meets(other.box), (one.text, other.text)
        assert not any(word.box.meets(dot.box) for word in words for dot in dots)
        for mark in figure.marks:
            assert mark.box.left >= -0.5 and mark.box.right <= figure.width + 0.5, mark
            assert mark.box.top >= 0 and mark.box.bottom <= figure.height, mark


def test_dots_stand_under_their_notes_at_true_millimetres(
    drawn: tuple[tuple[System, ...], tuple[HandFigure, ...]],
) -> None:
    notes = finger(bundled_tune()).paths[0].notes
    points = []
    for system, figure in zip(*drawn, strict=True):
        heads = {place.index: place.head for place in system.notes}
        assert set(heads) == {note for note, _, _ in figure.dots}
        floor = next(mark.box.top + 0.55 for mark in figure.marks if mark.kind == "nut")
        for note, x, y in figure.dots:
            assert heads[note].left - 0.5 <= x <= heads[note].right + 5.2 * 3
            points.append((fret_distance(notes[note].fret), floor - y))
    millimetres, points_up = zip(*points, strict=True)
    unit = max(points_up) / max(millimetres)
    assert points_up == pytest.approx([unit * mm for mm in millimetres], abs=0.01)


def test_every_shift_carries_its_cost(drawn: tuple[tuple[System, ...], tuple[HandFigure, ...]]) -> None:
    tune = bundled_tune()
    shifts = trace_hand(tune, finger(tune).paths[0]).shifts
    told = [mark.text for figure in drawn[1] for mark in figure.marks if mark.kind == "cost"]
    assert sorted(told) == sorted(cost_text(shift) for shift in shifts)
    assert "27 mm in 129 ms" in told and "226 mm in 1.3 s" in told


def test_time_only_goes_on(drawn: tuple[tuple[System, ...], tuple[HandFigure, ...]]) -> None:
    for figure in drawn[1]:
        for (second, x), (later, further) in pairwise(figure.clock):
            assert second < later and x <= further
    for one, other in pairwise(drawn[1]):
        assert one.clock[-1][0] == pytest.approx(other.clock[0][0])


def test_a_barre_shows_every_string() -> None:
    chart = Chart((Section("", (bar("A7"),)),))
    tune = Tune("Grip", chart, make_line(grip(0, 4, "1/5.1 2/5.1 3/6.2")))
    systems = engrave(tune)
    (figure,) = draw_hand_paths(tune, finger(tune).paths[0], systems)
    places = {(round(x, 1), round(y, 1)) for _, x, y in figure.dots}
    assert len(places) == 3
