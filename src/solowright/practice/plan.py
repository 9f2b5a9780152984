"""The days until the gig: what to practise on each, in blocks with breaks between them.

Blocks of a few minutes in rotation rather than one long stretch (Carter & Grahn 2016, Front. Psychol.
7:1251: where raters differed, the interleaved practice was better the next day; ten players, so a hint
and no proof). Rest of five minutes after twenty-five, and a day off a week (Klickstein, The Musician's
Way; Horvath, Playing (Less) Hurt: experts' advice, no trial).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from solowright.errors import InputError

BLOCK = 4  # minutes on one loop before the next
STRETCH, BREAK = 25, 5  # minutes of playing, then of rest
WARM_UP = 5
WHOLE = 4  # minutes for the whole solo at the end
LEAST, MOST = 15, 180  # minutes a day
FURTHEST = 366  # days that a plan may run
WEEK = 7
RISES_A_DAY = 2  # steps a loop goes up on a good day (assumed)

Kind = Literal["warm-up", "loop", "break", "whole"]


@dataclass(frozen=True, slots=True)
class Block:
    """A few minutes of one thing. ``loop`` counts from 0; ``tempo`` is where the plan expects it."""

    kind: Kind
    minutes: int
    loop: int | None = None
    tempo: float | None = None


@dataclass(frozen=True, slots=True)
class Day:
    """One day of a plan; no blocks: rest."""

    day: date
    blocks: tuple[Block, ...]

    @property
    def minutes(self) -> int:
        """From the first note to the last, breaks included."""
        return sum(block.minutes for block in self.blocks)


@dataclass(frozen=True, slots=True)
class Plan:
    """Every day before the gig, and whether its steps reach show tempo in time."""

    days: tuple[Day, ...]
    reaches: tuple[float, ...]  # the tempo each loop gets to by the last day
    enough: bool


def make_plan(
    ladders: Sequence[Sequence[float]], today: date, gig: date, minutes: int = 40
) -> Plan:
    """A plan from ``today`` to the day before the gig, or for the day itself where that is today.

    ``ladders`` are the tempos still ahead of each loop, its present one first. ``minutes`` is the length
    of a sitting, breaks included. Every seventh day is free, and the day before the gig is half as
    long, with the whole solo. Raises InputError for a gig that is past or too far, or a sitting that is
    too short or too long.
    """
    if not LEAST <= minutes <= MOST:
        raise InputError(f"a sitting of {minutes} minutes can't be planned; give {LEAST} to {MOST}")
    count = (gig - today).days
    if not 0 <= count <= FURTHEST:
        raise InputError(f"the gig on {gig} is not within a year from {today}; give a day ahead of you")
    days = []
    worked = 0
    for number in range(max(1, count)):
        day = today + timedelta(days=number)
        if number % WEEK == WEEK - 1 and number != count - 1:
            days.append(Day(day, ()))
            continue
        last = number >= count - 1
        tempos = [_expected(ladder, worked) for ladder in ladders]
        days.append(Day(day, _sitting(tempos, max(LEAST, minutes // 2) if last else minutes, worked)))
        worked += 1
    reaches = tuple(_expected(ladder, worked) for ladder in ladders)
    enough = all(reached == ladder[-1] for reached, ladder in zip(reaches, ladders, strict=True))
    return Plan(tuple(days), reaches, enough)


def _expected(ladder: Sequence[float], worked: int) -> float:
    return ladder[min(worked * RISES_A_DAY, len(ladder) - 1)]


def _sitting(tempos: Sequence[float], minutes: int, turn: int) -> tuple[Block, ...]:
    """Warm-up, loops in rotation with a break after each stretch, the whole solo: within ``minutes``.

    Another loop comes first every day (``turn``), so that none is always met with tired hands.
    """
    blocks = [Block("warm-up", WARM_UP)]
    playing, number = WARM_UP, turn
    while tempos:
        rest = BREAK if playing + BLOCK > STRETCH else 0
        played = BLOCK if rest else playing + BLOCK
        ending = WHOLE + (BREAK if played + WHOLE > STRETCH else 0)
        if sum(block.minutes for block in blocks) + rest + BLOCK + ending > minutes:
            break
        if rest:
            blocks.append(Block("break", BREAK))
        loop = number % len(tempos)
        blocks.append(Block("loop", BLOCK, loop, tempos[loop]))
        playing, number = played, number + 1
    if playing + WHOLE > STRETCH:
        blocks.append(Block("break", BREAK))
    return (*blocks, Block("whole", WHOLE))
