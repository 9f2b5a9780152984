"""What the practice command tells: every loop with its ladder and next task, the plan, the cautions."""

from __future__ import annotations

from textwrap import wrap

from solowright.music.chart import beat_text
from solowright.page.booklet import CAUTION
from solowright.practice.course import Course, LoopCourse
from solowright.practice.plan import Plan
from solowright.practice.sheet import plan_words

_WIDTH = 96


def course_text(course: Course, plan: Plan | None = None, caution: str = "") -> str:
    """The course as a page of text."""
    lines = [f"Show tempo {course.show:.0f}. The hardest beats, hardest first:", ""]
    for number, each in enumerate(course.loops, 1):
        lines += [*_loop(number, each), ""]
    if plan:
        days = sum(1 for day in plan.days if day.blocks)
        lines.append(f"{days} {'day' if days == 1 else 'days'} to practise before the gig.")
        lines += [*_plain(plan_words(course, plan)), ""]
    return "\n".join([*lines, *_plain(CAUTION), *(_plain(caution) if caution else [])])


def _loop(number: int, each: LoopCourse) -> list[str]:
    loop = each.loop
    tempos = [f"{tempo:.0f}" for tempo in each.ladder.tempos]
    tempos[each.standing.rung] = f"[{tempos[each.standing.rung]}]"
    lines = [
        f"{number}. {loop.name[0].upper()}{loop.name[1:]}; "
        f"bar {loop.crux.bar} beat {beat_text(loop.crux.beat)}: {loop.why}",
    ]
    if loop.ease:
        lines += wrap(f"   eased by: {loop.ease}", _WIDTH, subsequent_indent="   ")
    lines += wrap("   " + " ".join(tempos), _WIDTH, subsequent_indent="   ")
    if each.tries:
        kept = f"; kept overnight: {each.standing.kept:.0f}" if each.standing.kept else ""
        lines.append(f"   {len(each.tries)} {'try' if len(each.tries) == 1 else 'tries'} so far{kept}")
    lines.append(f"   next: {each.task.kind} at {each.task.tempo:.0f}, {each.task.why}")
    return lines


def _plain(text: str) -> list[str]:
    return wrap(text, _WIDTH)
