"""Everything to practise in one tune: its loops, a ladder for each, and where the player stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date
from math import isfinite
from typing import Any

from solowright.music.tune import Tune
from solowright.neck import Path, Player
from solowright.practice.ladder import (
    STEP,
    Ladder,
    Standing,
    Task,
    Try,
    build_ladder,
    next_task,
    on_day,
    stand,
)
from solowright.practice.log import Entry
from solowright.practice.loops import MOST, Loop, find_loops
from solowright.practice.plan import Plan, make_plan


@dataclass(frozen=True, slots=True)
class LoopCourse:
    """A loop, its ladder, the tries so far, the standing they make on ``day``, and what to play next."""

    loop: Loop
    ladder: Ladder
    tries: tuple[Try, ...]
    standing: Standing
    task: Task


@dataclass(frozen=True, slots=True)
class Course:
    """A tune's loops, hardest first, as they stand on ``day``; ``show`` is the tempo to reach."""

    show: float
    day: date
    loops: tuple[LoopCourse, ...]


def make_course(
    tune: Tune,
    path: Path,
    entries: Sequence[Entry] = (),
    day: date | None = None,
    player: Player | None = None,
    step: float = STEP,
    most: int = MOST,
) -> Course:
    """The course of a line under one fingering, with the log's entries for it.

    Raises InputError where nothing in the line is hard, or ``step`` is outside 3 to 6 %.
    """
    today = day or date.today()
    show = tune.tempo.first
    loops = tuple(
        _course(loop, show, [entry.made for entry in entries if entry.loop == loop.name], today, step)
        for loop in find_loops(tune, path, player, most)
    )
    return Course(show, today, loops)


def _course(loop: Loop, show: float, tries: Sequence[Try], day: date, step: float) -> LoopCourse:
    ladder = build_ladder(show, loop.limit_tempo, step=step)
    standing = on_day(stand(ladder, tries), day) if tries else Standing()
    return LoopCourse(loop, ladder, tuple(tries), standing, next_task(standing, ladder, day))


def plan_course(course: Course, gig: date, minutes: int = 40) -> Plan:
    """The days until the gig, from where the player stands (see ``plan.make_plan``)."""
    ahead = [each.ladder.tempos[each.standing.rung :] for each in course.loops]
    return make_plan(ahead, course.day, gig, minutes)


def course_json(course: Course, plan: Plan | None = None) -> dict[str, Any]:
    """The course as plain data: loops with crux, ladder, standing and next task; the plan if there is one."""
    return {
        "show_tempo": course.show,
        "day": course.day.isoformat(),
        "loops": [_loop_json(each) for each in course.loops],
        "plan": plan_json(plan) if plan else None,
    }


def _loop_json(each: LoopCourse) -> dict[str, Any]:
    loop, standing = each.loop, each.standing
    return {
        "name": loop.name,
        "bars": list(loop.bars),
        "crux": {"bar": loop.crux.bar, "beat": float(loop.crux.beat), "load": loop.load, "why": loop.why},
        "limit_tempo": loop.limit_tempo if isfinite(loop.limit_tempo) else None,
        "ease": loop.ease or None,
        "ladder": list(each.ladder.tempos),
        "rung": standing.rung,
        "clean": standing.clean,
        "missed": standing.missed,
        "retest": standing.retest,
        "kept": standing.kept,
        "reached": standing.reached,
        "next": asdict(each.task),
        "tries": [{**asdict(made), "day": made.day.isoformat()} for made in each.tries],
    }


def plan_json(plan: Plan) -> dict[str, Any]:
    """A plan as plain data."""
    return {
        "days": [
            {"day": day.day.isoformat(), "blocks": [asdict(block) for block in day.blocks]}
            for day in plan.days
        ],
        "reaches": list(plan.reaches),
        "enough": plan.enough,
    }
