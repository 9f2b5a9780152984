"""The reasons, under the bars that they speak of.

Each sentence hangs from a thin bracket that spans its notes. Its text begins, ends or is centred
there, whichever lets all sentences of the system stand highest; those that would meet stand lower.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

from solowright.page.drawing import BLUE, Box, Mark, bottom_under, letters, number, path, together
from solowright.page.lettering import text_width, wrap

SIZE = 8.2
_LEADING = 10.2
_DROP = 10.4  # from the bracket to the first baseline
_LEAST = 165.0  # a narrow column reads badly: the text may be wider than its notes
_MOST = 330.0
_AIR = 5.0
_ALIKE = 3.0  # points of height that a text away from its beginning must save
_TRIES = 1000  # arrangements that are compared in full


@dataclass(frozen=True, slots=True)
class Reason:
    """A sentence and the stretch of the system that it speaks of; ``open_right`` where it goes on."""

    text: str
    left: float
    right: float
    open_right: bool = False


@dataclass(frozen=True, slots=True)
class _Block:
    """A reason broken into rows, with its text's left edge; ``box`` holds text and bracket."""

    reason: Reason
    rows: tuple[str, ...]
    left: float
    box: Box
    moved: bool


def draw_reasons(reasons: Sequence[Reason], top: float, width: float) -> list[Mark]:
    """Sets the sentences from ``top`` downward in a system ``width`` points wide."""
    ordered = sorted(reasons, key=lambda reason: (reason.left, reason.right))
    choices = [_blocks(reason, width) for reason in ordered]
    count = 1
    for blocks in choices:
        count *= len(blocks)
    if count > _TRIES:
        choices = [blocks[:1] for blocks in choices]
    arranged = min((_arrange(blocks) for blocks in product(*choices)), key=_height)
    return [_draw(block, top + y) for block, y in arranged]


def _blocks(reason: Reason, width: float) -> list[_Block]:
    column = min(max(reason.right - reason.left, _LEAST), _MOST, width)
    rows = tuple(_balanced(reason.text, column))
    wide = max(text_width(row, "serif", SIZE) for row in rows)
    wishes = (reason.left, (reason.left + reason.right - wide) / 2, reason.right - wide)
    blocks: list[_Block] = []
    for wish in wishes:
        left = min(max(0.0, wish), max(0.0, width - wide))
        if all(abs(left - other.left) > 1.0 for other in blocks):
            bottom = _DROP + (len(rows) - 1) * _LEADING + 0.3 * SIZE
            box = Box(min(left, reason.left), 0.0, max(left + wide, reason.right), bottom)
            blocks.append(_Block(reason, rows, left, box, bool(blocks)))
    return blocks


_Arranged = list[tuple[_Block, float]]


def _arrange(blocks: Sequence[_Block]) -> _Arranged:
    """Each block as high as those before it let it stand."""
    placed: list[Box] = []
    arranged: _Arranged = []
    for block in blocks:
        y = bottom_under(placed, block.box.left - 2 * _AIR, block.box.right + 2 * _AIR, 0.0) + _AIR
        arranged.append((block, y))
        placed.append(block.box.moved(0.0, y))
    return arranged


def _height(arranged: _Arranged) -> float:
    """What an arrangement costs: its height above all, then every block's own, and moved texts."""
    if not arranged:
        return 0.0
    lowest = max(y + block.box.bottom for block, y in arranged)
    return lowest + sum(0.1 * y + _ALIKE * block.moved for block, y in arranged)


def _draw(block: _Block, y: float) -> Mark:
    reason = block.reason
    stop = "" if reason.open_right else "v2.6"
    d = f"M{number(reason.left)} 2.6v-2.6H{number(reason.right)}{stop}"
    bracket = path("reason", d, Box(reason.left, -0.3, reason.right, 2.6), 0.6, BLUE)
    rows = [
        letters("reason", row, block.left, _DROP + index * _LEADING, SIZE, "serif")
        for index, row in enumerate(block.rows)
    ]
    return together("reason", (bracket, *rows), reason.text).moved(0.0, y)


def _balanced(text: str, column: float) -> list[str]:
    """Lines of about one length: the narrowest column that needs no more lines."""
    rows = wrap(text, "serif", SIZE, column)
    low, high = column / 2, column
    while high - low > 4.0 and len(rows) > 1:
        middle = (low + high) / 2
        if len(wrap(text, "serif", SIZE, middle)) <= len(rows):
            high = middle
        else:
            low = middle
    return wrap(text, "serif", SIZE, high)
