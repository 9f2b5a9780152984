"""The practice sheet to print (PDF): each loop engraved, with its ladder to tick off, and the plan."""

from __future__ import annotations

from math import isfinite
from pathlib import Path

from solowright.music.chart import beat_text
from solowright.music.tune import Tune
from solowright.page.booklet import CAUTION
from solowright.page.engrave import engrave
from solowright.page.typeset import typeset, typeset_pictures
from solowright.practice.course import Course, LoopCourse
from solowright.practice.ladder import CLEAN_TO_RISE, MISSES_TO_FALL
from solowright.practice.loops import loop_excerpt
from solowright.practice.plan import BLOCK, WARM_UP, Block, Day, Plan
from solowright.practice.progress import draw_progress

_TEMPLATE = Path(__file__).with_name("sheet.typ")
_WIDTH = 500.0  # points
RULES = (
    f"Start slow. {CLEAN_TO_RISE} clean times in a row: a step up. "
    f"{MISSES_TO_FALL} misses in a row: a step back.",
    "After every step up, play one or two of the hardest beats once at show tempo, then go on.",
    "A few minutes on a loop, then the next one: come back to it rather than stay.",
    "On the next day play the last step clean before you go higher.",
)


def practice_sheet(tune: Tune, course: Course, plan: Plan | None = None, caution: str = "") -> bytes:
    """The sheet as PDF (A4). ``tune`` carries its fingering; ``caution`` is a sentence on loudness.

    Raises InputError, with bar and beat, where a rhythm can't be written.
    """
    return typeset(_TEMPLATE, *_contents(tune, course, plan, caution))


def practice_sheet_pictures(
    tune: Tune, course: Course, plan: Plan | None = None, caution: str = ""
) -> tuple[bytes, ...]:
    """The sheet as PNG, one a page."""
    return typeset_pictures(_TEMPLATE, *_contents(tune, course, plan, caution))


def _contents(
    tune: Tune, course: Course, plan: Plan | None, caution: str
) -> tuple[dict[str, object], dict[str, str]]:
    """What the template reads, and its pictures."""
    pictures: dict[str, str] = {}
    loops = []
    for index, each in enumerate(course.loops):
        names = []
        for row, system in enumerate(engrave(loop_excerpt(tune, each.loop), None, _WIDTH)):
            names.append(f"loop-{index}-{row}.svg")
            pictures[names[-1]] = system.svg
        loops.append(_loop(each, index + 1, names))
    tried = any(each.tries for each in course.loops)
    if tried:
        pictures["progress.svg"] = draw_progress(course, _WIDTH)
    data = {
        "title": tune.title or "Untitled",
        "show": f"{course.show:.0f}",
        "rules": RULES,
        "loops": loops,
        "tried": tried,
        "plan": [_day(day) for day in plan.days] if plan else [],
        "verdict": plan_words(course, plan) if plan else "",
        "lengths": f"Warm-up and break are {WARM_UP} minutes, every loop and the whole solo {BLOCK}.",
        "cautions": [CAUTION, *([caution] if caution else [])],
    }
    return data, pictures


def _loop(each: LoopCourse, number: int, names: list[str]) -> dict[str, object]:
    loop = each.loop
    limit = f" It would break at {loop.limit_tempo:.0f}." if isfinite(loop.limit_tempo) else ""
    return {
        "name": f"Loop {number}: {loop.name}",
        "files": names,
        "why": f"Hardest at bar {loop.crux.bar} beat {beat_text(loop.crux.beat)}: {loop.why}.{limit}",
        "ease": f"What would ease it: {loop.ease}." if loop.ease else "",
        "ladder": [f"{tempo:.0f}" for tempo in each.ladder.tempos],
        "rung": each.standing.rung if each.tries else -1,
        "boxes": CLEAN_TO_RISE,
    }


def _day(day: Day) -> dict[str, object]:
    blocks = ", ".join(_block(block) for block in day.blocks)
    return {
        "day": f"{day.day:%a} {day.day.day} {day.day:%b}",
        "minutes": f"{day.minutes} min" if day.blocks else "",
        "blocks": blocks[:1].upper() + blocks[1:] if blocks else "Rest the hands.",
    }


def _block(block: Block) -> str:
    if block.loop is None:
        return "the whole solo" if block.kind == "whole" else block.kind
    return f"loop {block.loop + 1} at {block.tempo:.0f}"


def plan_words(course: Course, plan: Plan) -> str:
    """Whether the days are enough, in one sentence."""
    if plan.enough:
        return "With two steps a day every loop reaches show tempo before the gig."
    short = [
        f"{each.loop.name} gets to {reached:.0f}"
        for each, reached in zip(course.loops, plan.reaches, strict=True)
        if reached < course.show
    ]
    return (
        "The days are too few for two steps a day: "
        + ", ".join(short)
        + f" of {course.show:.0f}. Play a plainer version there, or ask for a slower count-off."
    )
