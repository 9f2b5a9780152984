"""Practice at the desk: the loops of a tune, what to play next, the log of every try.

The log lies with the desk's own files, one for the folder; a tune is known in it by its file's name.
"""

from __future__ import annotations

from datetime import date, datetime
from functools import lru_cache
from math import inf, isfinite

from solowright.desk.folder import OURS
from solowright.desk.state import Json, State
from solowright.desk.tunes import Tunes
from solowright.desk.worked import find_fingering, work_out
from solowright.errors import InputError
from solowright.page.booklet import CAUTION
from solowright.practice import Entry, Try, drop_last, loudness_caution, make_course, read_tries, write_try
from solowright.practice.course import Course, course_json, plan_course
from solowright.practice.progress import draw_progress
from solowright.practice.sheet import RULES, plan_words, practice_sheet

LOG = "practice.log.sqlite"
PROGRESS_WIDTH = 500.0  # points
MINUTES = 40  # a sitting, unless the player says otherwise


def practice_json(tunes: Tunes, name: str, wishes: Json) -> Json:
    """The course of a tune as it stands today (see ``practice.course.course_json``), and with it the
    rules, the cautions, the progress as SVG, and of every loop its border times in seconds.

    ``wishes`` may hold ``gig`` (a date), ``minutes`` and ``level`` (dB(A) as measured), as text. Raises
    InputError for what can't be read, and for a line with nothing to practise.
    """
    state = tunes.open(name).state
    minutes = round(_number(wishes, "minutes") or MINUTES)
    course = _course(tunes, name, state)
    gig = str(wishes.get("gig") or "")
    plan = plan_course(course, _date(gig), minutes) if gig else None
    level = _number(wishes, "level")
    cautions = [CAUTION] + ([loudness_caution(level, minutes)] if level is not None else [])
    answer = course_json(course, plan)
    for loop, each in zip(answer["loops"], course.loops, strict=True):
        start, end = (state.tune.seconds(time) for time in (each.loop.start, each.loop.end))
        loop |= {"start": start, "end": end}
    return {
        **answer,
        "rules": list(RULES),
        "cautions": cautions,
        "verdict": plan_words(course, plan) if plan else None,
        "progress": draw_progress(course, PROGRESS_WIDTH),
    }


def log_try(tunes: Tunes, name: str, posted: Json) -> None:
    """Writes one try down: ``loop`` by its name, ``clean``; its tempo and kind are those of the loop's
    next task. Raises InputError for a loop that isn't there."""
    course = _course(tunes, name, tunes.open(name).state)
    chosen = next((each for each in course.loops if each.loop.name == posted.get("loop")), None)
    if chosen is None:
        raise InputError("that loop is gone: the line was changed; choose one of the loops shown now")
    if not isinstance(posted.get("clean"), bool):
        raise InputError("'clean' must be true or false")
    made = Try(date.today(), chosen.task.tempo, posted["clean"], chosen.task.kind)
    write_try(tunes.folder / OURS / LOG, Entry(datetime.now(), name, chosen.loop.name, made))


def take_back(tunes: Tunes, name: str) -> None:
    """Takes the latest try of a tune out of the log. Raises InputError where there is none."""
    tunes.open(name)
    if not drop_last(tunes.folder / OURS / LOG, name):
        raise InputError("no try is logged for this tune yet")


def sheet_pdf(tunes: Tunes, name: str) -> bytes:
    """The practice sheet of a tune, as it stands today."""
    state = tunes.open(name).state
    return practice_sheet(work_out(state).tune, _course(tunes, name, state))


def _course(tunes: Tunes, name: str, state: State) -> Course:
    entries = read_tries(tunes.folder / OURS / LOG, name)
    return _cached_course(state, entries, date.today())


@lru_cache(8)
def _cached_course(state: State, entries: tuple[Entry, ...], day: date) -> Course:
    return make_course(state.tune, find_fingering(state).paths[0], entries, day)


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputError(f"'{text}' is not a date; give year, month and day, such as 2027-03-14") from None


def _number(wishes: Json, name: str) -> float | None:
    text = str(wishes.get(name) or "")
    if not text:
        return None
    try:
        number = float(text)
    except ValueError:
        number = inf
    if not isfinite(number):
        raise InputError(f"'{name}' must be a number")
    return number
