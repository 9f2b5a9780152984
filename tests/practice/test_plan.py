"""A plan fits its days: dates, minutes, breaks."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.errors import InputError
from solowright.practice.plan import BREAK, STRETCH, make_plan

TODAY = date(2027, 3, 1)
LADDERS = ((100.0, 105.0, 110.0), (120.0,))


@given(st.integers(0, 120), st.integers(15, 180), st.integers(0, 5))
@settings(max_examples=150, deadline=None)
def test_a_plan_fits_its_days(days: int, minutes: int, loops: int) -> None:
    gig = TODAY + timedelta(days=days)
    plan = make_plan([LADDERS[0]] * loops, TODAY, gig, minutes)
    dates = [day.day for day in plan.days]
    assert dates == [TODAY + timedelta(days=number) for number in range(max(1, days))]
    assert all(day < gig for day in dates) or days == 0
    for day in plan.days:
        assert day.minutes <= minutes
        playing = 0
        for block in day.blocks:
            playing = 0 if block.kind == "break" else playing + block.minutes
            assert playing <= STRETCH
            assert block.kind != "break" or block.minutes == BREAK
        if day.blocks:
            assert day.blocks[0].kind == "warm-up" and day.blocks[-1].kind == "whole"
    rests = sum(1 for day in plan.days if not day.blocks)
    assert rests >= (len(plan.days) - 1) // 7


def test_loops_take_turns_and_another_begins_every_day() -> None:
    plan = make_plan(LADDERS, TODAY, TODAY + timedelta(days=4), 40)
    turns = [[block.loop for block in day.blocks if block.kind == "loop"] for day in plan.days]
    assert turns[0][:4] == [0, 1, 0, 1] and turns[1][:4] == [1, 0, 1, 0]


def test_tempos_rise_two_steps_a_day_and_stop_at_show_tempo() -> None:
    plan = make_plan([(100.0, 105.0, 110.0, 115.0)], TODAY, TODAY + timedelta(days=3))
    assert [day.blocks[1].tempo for day in plan.days] == [100.0, 110.0, 115.0]
    assert plan.enough and plan.reaches == (115.0,)


def test_too_few_days_are_told() -> None:
    plan = make_plan([tuple(100.0 + n for n in range(12))], TODAY, TODAY + timedelta(days=2))
    assert not plan.enough and plan.reaches == (104.0,)


@pytest.mark.parametrize(("days", "minutes", "what"), [(-1, 40, "gig"), (500, 40, "gig"), (3, 5, "sitting")])
def test_what_cant_be_planned_is_refused(days: int, minutes: int, what: str) -> None:
    with pytest.raises(InputError, match=what):
        make_plan(LADDERS, TODAY, TODAY + timedelta(days=days), minutes)
