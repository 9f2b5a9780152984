"""The rows below a system of tablature: ``fingers``, ``picks`` and ``names``.

A word stands under the fret it belongs to. For notes struck together it holds one sign a note from the
high string down (names are joined by ``+``), ``.`` where nothing is said; one sign alone is for all.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal

from solowright.errors import InputError
from solowright.files.tab_attack import Attack
from solowright.files.tab_system import System
from solowright.files.text import Report
from solowright.music.pitch import parse_pitch, parse_tone

# Pick strokes; '*' is picked either way.
STROKES: dict[str, Literal["down", "up"] | None] = {"d": "down", "u": "up", "*": None}


def read_under_rows(system: System, events: Sequence[Sequence[Attack]], report: Report) -> None:
    """Gives the attacks of a system what stands below them."""
    lines = {row.number for row in system.rows}
    here = [event for event in events if event[0].line in lines]
    for label, row in system.under.items():
        for match in list(re.finditer(r"\S+", row.text))[1:]:
            event = _find_event(here, match.start())
            wrong = (
                _share_out(label, match[0], event)
                if event
                else f"no note stands over '{match[0]}'; put it under the fret it belongs to"
            )
            if wrong:
                report.add(row.number, match.start() + 1, wrong)


def _find_event(events: Sequence[Sequence[Attack]], column: int) -> Sequence[Attack] | None:
    """What is struck over a column: under its count, or under one of its frets."""
    for event in events:
        if column == event[0].count:
            return event
    for event in events:
        if any(attack.left <= column < attack.right for attack in event):
            return event
    return None


def _share_out(label: str, word: str, event: Sequence[Attack]) -> str:
    """Gives each attack its sign of a word; what is wrong with it, or nothing."""
    signs = word.split("+") if label == "names" else list(word)
    if len(signs) == 1:
        signs *= len(event)
    if len(signs) != len(event):
        return (
            f"'{word}' has {len(signs)} signs for the {len(event)} notes over it; write one for each, or '.'"
        )
    for attack, sign in zip(event, signs, strict=True):
        wrong = "" if sign == "." else _give(attack, label, sign)
        if wrong:
            return wrong
    return ""


def _give(attack: Attack, label: str, sign: str) -> str:
    if label == "fingers":
        if sign not in tuple("01234"):
            return f"'{sign}' is not a finger; write 1 to 4, or 0 for an open string"
        attack.finger = int(sign)
    elif label == "picks":
        if sign not in STROKES:
            return f"'{sign}' is not a pick stroke; write d (down), u (up) or * (picked)"
        if attack.entry:
            return f"'{sign}' stands under a note that is not picked; drop it, or the sign before the fret"
        attack.entry, attack.stroke = "pick", STROKES[sign]
    else:
        try:
            attack.name = parse_pitch(sign) if sign[-1].isdecimal() else parse_tone(sign)
        except (InputError, ValueError) as error:
            return (
                str(error)
                if isinstance(error, InputError)
                else f"'{sign}' is not a pitch; write one such as Bb3"
            )
    return ""
