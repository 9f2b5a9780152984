"""The spacing of one bar of tablature: which column every fret, count and word below gets.

What is struck stands under its count. A column is as far from the one before as the signs between
them need, and the counts of a bar are evenly apart where a few columns suffice for that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

STEPS = (2, 3)  # columns from count to count of an evenly spaced bar; a bar with wider signs is uneven


@dataclass(slots=True)
class Column:
    """What stands at one place: its count (none over a grace note), by string the signs before the
    fret, the fret and the signs behind it, and the words in the rows below."""

    count: str = ""
    strings: dict[int, tuple[str, str, str]] = field(default_factory=dict)
    under: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Spaced:
    """The text of a bar between its barlines: the count row, strings that hold something, rows below."""

    width: int
    count: str
    strings: dict[int, str]
    under: dict[str, str]


def space_bar(columns: Sequence[Column]) -> Spaced:
    """A bar as narrow as can be, evenly spaced if it can be."""
    for step in STEPS:
        at = _place(columns, step)
        counted = [place for place, column in zip(at, columns, strict=True) if column.count]
        if all(later - earlier == step for earlier, later in pairwise(counted)):
            return _draw(columns, at, step)
    return _draw(columns, _place(columns, STEPS[0]), STEPS[0])


def _place(columns: Sequence[Column], step: int) -> list[int]:
    """The place of every column, at least ``step`` between counts."""
    at: list[int] = []
    free: dict[int | str, int] = {}  # by row: where its text ends
    tight: dict[int, bool] = {}  # by string: whether a sign may follow its text directly
    last_count = 1 - step
    fret_end = 0
    for column in columns:
        place = max(1, fret_end, at[-1] + 1 if at else 0)
        if column.count:
            place = max(place, last_count + step, free.get("count", 0) + 1)
        for string, (lead, _, _) in column.strings.items():
            gap = 0 if lead[:1] in tuple("hpst_/\\") and tight.get(string) else 1
            place = max(place, free.get(string, 0) + gap + len(lead))
        for row in column.under:
            place = max(place, free.get(row, 0) + 1)
        at.append(place)
        for string, (_, fret, tail) in column.strings.items():
            free[string] = place + len(fret) + len(tail)
            tight[string] = "=" not in tail and fret != ","
            fret_end = max(fret_end, place + len(fret))
        for row, word in column.under.items():
            free[row] = place + len(word)
        if column.count:
            last_count, free["count"] = place, place + len(column.count)
    return at


def _draw(columns: Sequence[Column], at: Sequence[int], step: int) -> Spaced:
    strings: dict[int, str] = {}
    under: dict[str, str] = {}
    count = ""
    for place, column in zip(at, columns, strict=True):
        if column.count:
            count = count.ljust(place) + column.count
        for string, (lead, fret, tail) in column.strings.items():
            strings[string] = strings.get(string, "").ljust(place - len(lead), "-") + lead + fret + tail
        for row, word in column.under.items():
            under[row] = under.get(row, "").ljust(place) + word
    ends = [len(text) + 1 for text in strings.values()] + [len(text) for text in (count, *under.values())]
    last = at[-1] if at else 0
    return Spaced(max([last + step, *ends]), count, strings, under)
