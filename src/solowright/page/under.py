"""The reasons, under the bars that they speak of.

Each sentence hangs from a thin bracket that spans its notes; sentences that would meet stand
lower. y 0 is where they may begin.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from solowright.page.drawing import BLUE, Box, Mark, bottom_under, letters, number, path, together
from solowright.page.lettering import text_width, wrap

SIZE = 8.2
_LEADING = 10.2
_LEAST = 165.0  # a narrow column reads badly: the text may be wider than its notes
_MOST = 330.0


@dataclass(frozen=True, slots=True)
class Reason:
    """A sentence and the stretch of the system that it speaks of; ``open_right`` where it goes on."""

    text: str
    left: float
    right: float
    open_right: bool = False


def draw_reasons(reasons: Sequence[Reason], ink: list[Box], top: float, width: float) -> list[Mark]:
    """Sets the sentences, each as high as it finds room; ``ink`` is extended."""
    marks = []
    for reason in sorted(reasons, key=lambda reason: (reason.left, reason.right)):
        mark = _set(reason, width)
        room = Box(mark.box.left - 5.0, 0.0, mark.box.right + 5.0, 0.0)
        y = bottom_under(ink, room.left, room.right, top) + 5.0
        marks.append(mark.moved(0.0, y))
        ink.append(marks[-1].box)
    return marks


def _set(reason: Reason, width: float) -> Mark:
    span = reason.right - reason.left
    column = min(max(span, _LEAST), _MOST, width)
    rows = _balanced(reason.text, column)
    longest = max(text_width(row, "serif", SIZE) for row in rows)
    left = max(0.0, min(reason.left, width - longest))
    stop = "" if reason.open_right else "v2.6"
    d = f"M{number(reason.left)} 2.6v-2.6H{number(reason.right)}{stop}"
    bracket = path("span", d, Box(reason.left, -0.3, reason.right, 2.6), 0.6, BLUE)
    lines = [
        letters("reason-line", row, left, 10.4 + index * _LEADING, SIZE, "serif")
        for index, row in enumerate(rows)
    ]
    return together("reason", (bracket, *lines), reason.text)


def _balanced(text: str, column: float) -> list[str]:
    """Lines of about one length: the narrowest column that needs no more lines."""
    rows = wrap(text, "serif", SIZE, column)
    low, high = column / 2, column
    while high - low > 4.0 and len(rows) > 1:
        middle = (low + high) / 2
        narrower = wrap(text, "serif", SIZE, middle)
        if len(narrower) <= len(rows):
            high = middle
        else:
            low = middle
    return wrap(text, "serif", SIZE, high)
