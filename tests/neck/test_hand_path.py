"""The hand path against the fingering it comes from, on the bundled tune and on lines worked by hand."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.demo import bundled_tune
from solowright.music.chart import Bar, Chart, Section
from solowright.music.line import Note, make_line
from solowright.music.pitch import plain
from solowright.music.time import Time, steady
from solowright.music.tune import Tune
from solowright.neck import finger, fret_distance
from solowright.neck.hand_path import HandPath, trace_hand


def make_tune(places: list[tuple[int, int]], tempo: float = 120) -> Tune:
    """Eighths on (string, fret), one after the other."""
    every = Time(1, 2)
    bars = (Bar(),) * (len(places) // 8 + 1)
    opened = (64, 59, 55, 50, 45, 40)
    notes = [
        Note(plain(opened[string - 1] + fret), every * n, every, string, fret)
        for n, (string, fret) in enumerate(places)
    ]
    return Tune("Line", Chart((Section("", bars),)), make_line(notes), tempo=steady(tempo))


def trace(tune: Tune) -> HandPath:
    return trace_hand(tune, finger(tune).paths[0])


def test_a_shift_carries_its_millimetres_and_the_time_there_is() -> None:
    path = trace(make_tune([(2, 5), (2, 6), (2, 13), (2, 14)]))
    (shift,) = path.shifts
    assert shift.travel == pytest.approx(fret_distance(shift.to_fret) - fret_distance(shift.from_fret))
    assert shift.available == pytest.approx(0.25) and shift.time == pytest.approx(0.5)
    assert shift.leave == pytest.approx(0.5 - shift.load * 0.25) and 0 < shift.load < 1
    assert shift.note == 2 and not shift.slide
    assert [(stay.first, stay.last) for stay in path.stays] == [(0, 1), (2, 3)]


def test_an_open_string_gives_the_hand_time_and_keeps_the_position() -> None:
    path = trace(make_tune([(2, 5), (2, 6), (1, 0), (2, 13), (2, 14)]))
    (shift,) = path.shifts
    assert shift.available == pytest.approx(0.5)
    assert path.stays[0].last == 2, "the open string belongs to the position it is played from"


def test_no_hand_no_path() -> None:
    assert trace(make_tune([(1, 0), (2, 0), (3, 0)])) == HandPath((), ())
    assert trace(make_tune([])) == HandPath((), ())


def test_a_tune_that_begins_open_has_its_first_stay_at_the_first_finger() -> None:
    path = trace(make_tune([(1, 0), (2, 0), (2, 3), (2, 1)]))
    assert path.stays[0].start == pytest.approx(0.5) and path.stays[0].first == 2


def test_the_crux_is_among_the_shifts_of_the_bundled_tune() -> None:
    tune = bundled_tune()
    fingering = finger(tune)
    path = trace_hand(tune, fingering.paths[0])
    crux = fingering.crux
    assert crux is not None and crux.why.startswith("shift")
    hardest = max(path.shifts, key=lambda shift: shift.load)
    assert hardest.load == crux.load
    assert f"({hardest.travel:.0f} mm) in {1000 * hardest.available:.0f} ms" in crux.why


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 6), st.integers(0, 17)), max_size=14),
    st.sampled_from([60.0, 120.0, 200.0]),
)
def test_what_always_holds(places: list[tuple[int, int]], tempo: float) -> None:
    tune = make_tune(places, tempo)
    fingering = finger(tune)
    path, notes = trace_hand(tune, fingering.paths[0]), fingering.paths[0].notes
    assert len(path.shifts) == max(0, len(path.stays) - 1)
    for stay in path.stays:
        assert stay.start <= stay.end and stay.low <= stay.fret <= stay.high
        assert {placed.position for placed in notes[stay.first : stay.last + 1]} == {stay.fret}
    for (one, other), shift in zip(pairwise(path.stays), path.shifts, strict=True):
        assert (shift.from_fret, shift.to_fret) == (one.fret, other.fret) and one.fret != other.fret
        assert one.end == shift.leave <= shift.time == other.start and shift.note == other.first
        assert shift.load <= notes[shift.note].load + 1e-9
    covered = [n for stay in path.stays for n in range(stay.first, stay.last + 1)]
    assert covered == [n for n, placed in enumerate(notes) if placed.position]
