"""The ladder: tempo steps from what the hand can do today to show tempo, and when to go up or back.

Each rule has its source beside it; where research gives no figure the number is ours, and says so.
A ladder never goes up after a miss, and never before its step was clean again on the next day.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from math import ceil, isfinite, log
from typing import Literal

from solowright.errors import InputError

# A change of tempo under 3 % is not heard (Drake & Botte 1993, Perception & Psychophysics 54(3)); the
# upper end is ours.
SMALLEST_STEP, STEP, LARGEST_STEP = 0.03, 0.05, 0.06
# The share of complete, correct tries goes with the next day's result (r = -.71 with the rank), the
# number of tries doesn't (Duke, Simmons & Cash 2009, J. Res. Music Educ. 56(4)). How many in a row is
# ours.
CLEAN_TO_RISE = 3
MISSES_TO_FALL = 2
# Slow practice mixed with show tempo did at least as well as a ladder alone, and show tempo alone did
# worst (Donald 1997; Henley 2001, J. Res. Music Educ. 49(2), as cited by others): a burst of a beat or
# two at show tempo after every rise. How often is ours.
BURST_AFTER_RISE = 1
FROM_LIMIT = 0.6  # where a ladder starts: this share of what the hand can do (assumed)

Kind = Literal["loop", "burst"]


@dataclass(frozen=True, slots=True)
class Ladder:
    """The tempos of one loop, rising, in quarter notes a minute; the last is show tempo."""

    tempos: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Try:
    """One time through a loop, or a burst at show tempo: the day, the tempo, and whether it was clean."""

    day: date
    tempo: float
    clean: bool
    kind: Kind = "loop"


@dataclass(frozen=True, slots=True)
class Standing:
    """Where the player is on a ladder. ``rung`` counts from 0; ``clean`` and ``missed`` are the latest
    tries in a row; ``retest`` tells that a new day's first task is to show the rung again; ``bursts`` are
    owed before the next try; ``kept`` is the highest tempo that was still clean on a later day."""

    rung: int = 0
    clean: int = 0
    missed: int = 0
    retest: bool = False
    bursts: int = 0
    kept: float | None = None
    day: date | None = None
    reached: bool = False  # show tempo itself was played clean often enough


@dataclass(frozen=True, slots=True)
class Task:
    """What to play next: the loop or a burst, at which tempo, and why."""

    kind: Kind
    tempo: float
    why: str


def build_ladder(show: float, limit: float, step: float = STEP) -> Ladder:
    """Even steps of at most ``step`` from a slow start up to show tempo.

    The start is ``FROM_LIMIT`` of the hand's limit tempo, or of show tempo where that is lower. Raises
    InputError for a step outside 3 to 6 %.
    """
    if not SMALLEST_STEP <= step <= LARGEST_STEP:
        raise InputError(f"a step of {100 * step:g} % is not on the ladder; give 3 to 6 %")
    start = FROM_LIMIT * (min(show, limit) if isfinite(limit) else show)
    steps = ceil(log(show / start) / log(1 + step) - 1e-9)
    if not steps:
        return Ladder((show,))
    factor = (show / start) ** (1 / steps)
    return Ladder((*(round(start * factor**number, 1) for number in range(steps)), show))


def after(standing: Standing, ladder: Ladder, made: Try) -> Standing:
    """Where the player stands after one more try."""
    now = on_day(standing, made.day)
    if made.kind == "burst":
        return replace(now, bursts=max(0, now.bursts - 1))
    if not made.clean:
        return _missed(now)
    now = replace(now, clean=now.clean + 1, missed=0)
    if now.clean < CLEAN_TO_RISE:
        return now
    kept = now.kept
    if now.retest:
        kept = max(kept or 0.0, ladder.tempos[now.rung])
    top = now.rung + 1 == len(ladder.tempos)
    return replace(
        now,
        rung=now.rung if top else now.rung + 1,
        clean=0,
        retest=False,
        bursts=0 if top else BURST_AFTER_RISE,
        kept=kept,
        reached=now.reached or top,
    )


def _missed(now: Standing) -> Standing:
    """After a miss: the count starts again, and after two in a row so does the step before."""
    if now.missed + 1 < MISSES_TO_FALL:
        return replace(now, clean=0, missed=now.missed + 1)
    return replace(now, rung=max(0, now.rung - 1), clean=0, missed=0)


def on_day(standing: Standing, day: date) -> Standing:
    """The standing as a day begins: on a new one the counts start again and the rung is tested first.

    Accuracy rose in the next sitting only after 24 hours (Simmons 2012, J. Res. Music Educ. 59(4)).
    """
    if standing.day == day:
        return standing
    if standing.day is None:
        return replace(standing, day=day)
    return replace(standing, day=day, clean=0, missed=0, bursts=0, retest=True)


def stand(ladder: Ladder, tries: Sequence[Try]) -> Standing:
    """The standing after all the tries so far, in order of time.

    Tries at tempos of another ladder (the tune was to go faster or slower then) set where this one is
    begun: a step under the fastest that was clean often enough.
    """
    own = [made for made in tries if made.kind == "burst" or _is_rung(ladder, made.tempo)]
    others = [made for made in tries if made.kind == "loop" and not _is_rung(ladder, made.tempo)]
    standing = Standing(rung=_first_rung(ladder, others))
    for made in own:
        standing = after(standing, ladder, made)
    return standing


def _is_rung(ladder: Ladder, tempo: float) -> bool:
    return any(abs(rung - tempo) <= rung * SMALLEST_STEP / 2 for rung in ladder.tempos)


def _first_rung(ladder: Ladder, tries: Sequence[Try]) -> int:
    record, row = 0.0, 0
    for number, made in enumerate(tries):
        same = number and made.tempo == tries[number - 1].tempo
        row = (row if same else 0) + 1 if made.clean else 0
        if row >= CLEAN_TO_RISE:
            record = max(record, made.tempo)
    return max((n for n, rung in enumerate(ladder.tempos) if rung <= record / (1 + STEP)), default=0)


def next_task(standing: Standing, ladder: Ladder, day: date) -> Task:
    """What to play now."""
    now = on_day(standing, day)
    tempo = ladder.tempos[now.rung]
    if now.bursts:
        return Task("burst", ladder.tempos[-1], "a beat or two at show tempo, then back to the ladder")
    left = CLEAN_TO_RISE - now.clean
    times = "once more" if left == 1 else f"{left} times"
    if now.retest:
        return Task("loop", tempo, f"yesterday's step again: clean {times}, then up")
    if now.rung + 1 == len(ladder.tempos):
        return Task("loop", tempo, f"show tempo: clean {times}")
    if now.missed:
        return Task("loop", tempo, "one more miss goes a step back")
    return Task("loop", tempo, f"clean {times}, then up")
