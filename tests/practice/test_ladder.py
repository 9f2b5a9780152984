"""The ladder: its steps, and that it never goes up after a miss."""

from __future__ import annotations

import itertools
from datetime import date, timedelta
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.errors import InputError
from solowright.practice.ladder import (
    CLEAN_TO_RISE,
    LARGEST_STEP,
    MISSES_TO_FALL,
    Kind,
    Ladder,
    Standing,
    Try,
    after,
    build_ladder,
    next_task,
    on_day,
    stand,
)

TODAY = date(2027, 3, 1)
LADDER = Ladder((100.0, 105.0, 110.0, 116.0))


def _tries(text: str, day: date = TODAY, tempo: float = 100.0) -> list[Try]:
    """``c`` clean, ``m`` missed, ``b`` a burst."""
    kinds: dict[str, tuple[bool, Kind]] = {"c": (True, "loop"), "m": (False, "loop"), "b": (True, "burst")}
    return [Try(day, tempo, *kinds[letter]) for letter in text]


def test_steps_are_even_and_end_at_show_tempo() -> None:
    tempos = build_ladder(186.0, 218.0).tempos
    assert tempos[0] == pytest.approx(0.6 * 186, abs=0.06)
    assert tempos[-1] == 186.0
    steps = [high / low for low, high in itertools.pairwise(tempos)]
    assert max(steps) < 1.052 and min(steps) > 1.045


@given(st.floats(30, 400), st.floats(30, 900), st.floats(0.03, 0.06))
@settings(max_examples=100, deadline=None)
def test_a_ladder_rises_in_steps_a_player_hears_the_sum_of(show: float, limit: float, step: float) -> None:
    tempos = build_ladder(show, limit, step).tempos
    assert tempos[-1] == show
    assert list(tempos) == sorted(set(tempos))
    assert tempos[0] <= limit or len(tempos) == 1
    assert all(high / low < 1 + LARGEST_STEP + 0.01 for low, high in itertools.pairwise(tempos))


def test_a_line_without_a_limit_starts_from_show_tempo() -> None:
    assert build_ladder(120.0, inf).tempos[0] == 72.0


@pytest.mark.parametrize("step", [0.0, 0.02, 0.07])
def test_a_step_outside_the_sources_is_refused(step: float) -> None:
    with pytest.raises(InputError, match="3 to 6 %"):
        build_ladder(120.0, 150.0, step)


def test_three_clean_go_up_and_owe_a_burst() -> None:
    standing = stand(LADDER, _tries("ccc"))
    assert (standing.rung, standing.clean, standing.bursts) == (1, 0, 1)
    assert next_task(standing, LADDER, TODAY).kind == "burst"
    assert next_task(after(standing, LADDER, _tries("b")[0]), LADDER, TODAY).tempo == 105.0


def test_two_misses_go_back_and_one_doesnt() -> None:
    up = stand(LADDER, _tries("cccb"))
    assert after(up, LADDER, _tries("m")[0]).rung == 1
    assert stand(LADDER, _tries("cccbmm")).rung == 0
    assert stand(LADDER, _tries("mmmm")).rung == 0


def test_the_next_day_tests_the_step_again_before_it_goes_up() -> None:
    tomorrow = TODAY + timedelta(days=1)
    standing = stand(LADDER, [*_tries("cccbcc"), *_tries("c", tomorrow)])
    assert standing.retest and standing.rung == 1 and standing.clean == 1
    assert standing.kept is None
    kept = stand(LADDER, [*_tries("cccbcc"), *_tries("ccc", tomorrow)])
    assert kept.rung == 2 and kept.kept == 105.0 and not kept.retest


def test_show_tempo_clean_is_reached_and_stays() -> None:
    standing = stand(LADDER, _tries("cccbcccbcccbccc"))
    assert standing.rung == 3 and standing.reached and not standing.bursts
    assert "show tempo" in next_task(standing, LADDER, TODAY).why


def test_another_show_tempo_begins_a_step_under_the_record() -> None:
    fast = build_ladder(160.0, 200.0)
    assert stand(fast, _tries("ccc", tempo=130.0)).rung == max(
        n for n, tempo in enumerate(fast.tempos) if tempo <= 130 / 1.05
    )
    assert stand(fast, _tries("cc", tempo=130.0)).rung == 0


_TRIES = st.lists(
    st.tuples(st.booleans(), st.sampled_from(["loop", "loop", "loop", "burst"]), st.integers(0, 1)),
    max_size=60,
)


@given(_TRIES)
@settings(max_examples=200, deadline=None)
def test_what_always_holds(made: list[tuple[bool, Kind, int]]) -> None:
    standing, day = Standing(), TODAY
    row = 0
    for clean, kind, days in made:
        if days:
            row = 0
        day += timedelta(days=days)
        before = on_day(standing, day)
        standing = after(standing, LADDER, Try(day, 100.0, clean, kind))
        if kind == "loop":
            row = row + 1 if clean else 0
        assert 0 <= standing.rung < len(LADDER.tempos)
        assert standing.clean < CLEAN_TO_RISE and standing.missed < MISSES_TO_FALL
        if not clean or kind == "burst":
            assert standing.rung <= before.rung
        if standing.rung > before.rung:
            assert standing.rung == before.rung + 1 and row >= CLEAN_TO_RISE
        assert next_task(standing, LADDER, day).tempo in LADDER.tempos
