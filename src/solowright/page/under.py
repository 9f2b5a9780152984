"""The reasons, under the bars that they speak of.

Each sentence hangs from a thin bracket that spans its notes. Its text begins, ends or is centred
there, whichever lets all sentences of the system stand highest; those that would meet stand lower.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import inf, prod

from solowright.page.drawing import BLUE, Box, Mark, letters, number, path, together
from solowright.page.lettering import text_width, wrap

SIZE = 8.2
_LEADING = 10.2
_DROP = 10.4  # from the bracket to the first baseline
_LEAST = 165.0  # a narrow column reads badly: the text may be wider than its notes
_MOST = 330.0
_AIR = 5.0
_ALIKE = 3.0  # points of height that a text away from its beginning must save
KEPT = 1024  # sentences whose rows are kept
_TRIES = 1000  # arrangements that are compared in full


@dataclass(frozen=True, slots=True)
class Reason:
    """A sentence and the stretch of the system that it speaks of; ``open_right`` where it goes on."""

    text: str
    left: float
    right: float
    open_right: bool = False


@dataclass(frozen=True, slots=True)
class Block:
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
    count = prod(map(len, choices))
    if count > _TRIES:
        choices = [blocks[:1] for blocks in choices]
    return [_draw(block, top + y) for block, y in arrange(choices)]


def _blocks(reason: Reason, width: float) -> list[Block]:
    column = min(max(reason.right - reason.left, _LEAST), _MOST, width)
    rows = _balanced(reason.text, column)
    wide = max(text_width(row, "serif", SIZE) for row in rows)
    wishes = (reason.left, (reason.left + reason.right - wide) / 2, reason.right - wide)
    blocks: list[Block] = []
    for wish in wishes:
        left = min(max(0.0, wish), max(0.0, width - wide))
        if all(abs(left - other.left) > 1.0 for other in blocks):
            bottom = _DROP + (len(rows) - 1) * _LEADING + 0.3 * SIZE
            box = Box(min(left, reason.left), 0.0, max(left + wide, reason.right), bottom)
            blocks.append(Block(reason, rows, left, box, bool(blocks)))
    return blocks


Arranged = tuple[tuple[Block, float], ...]


def arrange(choices: Sequence[Sequence[Block]]) -> Arranged:
    """One block of each reason, as high as those before it let it stand: the first of the arrangements
    that cost least. A cost is the height above all, then every block's own, and moved texts."""
    return _go_on(choices, (), 0.0, 0.0, ((), inf))[0]


def _go_on(
    choices: Sequence[Sequence[Block]],
    placed: Arranged,
    lowest: float,
    others: float,
    best: tuple[Arranged, float],
) -> tuple[Arranged, float]:
    """The best arrangement and its cost, among the ``best`` so far and those that begin as ``placed``."""
    if lowest + others >= best[1]:  # it only grows from here
        return best
    if len(placed) == len(choices):
        return placed, lowest + others
    for block in choices[len(placed)]:
        y = _low(placed, block.box) + _AIR
        cost = 0.1 * y + _ALIKE * block.moved
        on = (*placed, (block, y))
        best = _go_on(choices, on, max(lowest, y + block.box.bottom), others + cost, best)
    return best


def _low(placed: Arranged, box: Box) -> float:
    """How low what is placed reaches where a box is to stand."""
    left, right = box.left - 2 * _AIR, box.right + 2 * _AIR
    low = 0.0
    for block, y in placed:
        here = block.box
        if here.left < right and left < here.right and here.bottom + y > low:
            low = here.bottom + y
    return low


def _draw(block: Block, y: float) -> Mark:
    reason = block.reason
    stop = "" if reason.open_right else "v2.6"
    d = f"M{number(reason.left)} 2.6v-2.6H{number(reason.right)}{stop}"
    bracket = path("reason", d, Box(reason.left, -0.3, reason.right, 2.6), 0.6, BLUE)
    rows = [
        letters("reason", row, block.left, _DROP + index * _LEADING, SIZE, "serif")
        for index, row in enumerate(block.rows)
    ]
    return together("reason", (bracket, *rows), reason.text).moved(0.0, y)


@lru_cache(KEPT)
def _balanced(text: str, column: float) -> tuple[str, ...]:
    """Lines of about one length: the narrowest column that needs no more lines."""
    rows = wrap(text, "serif", SIZE, column)
    low, high = column / 2, column
    while high - low > 4.0 and len(rows) > 1:
        middle = (low + high) / 2
        if len(wrap(text, "serif", SIZE, middle)) <= len(rows):
            high = middle
        else:
            low = middle
    return tuple(wrap(text, "serif", SIZE, high))
