"""A few bars cut out of a system, as a picture of their own."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from solowright.page.drawing import number
from solowright.page.engrave import System

_EDGE = 1.0  # points left and right of the cut
_ROOT = re.compile(r'viewBox="0 (\S+) \S+ (\S+)" width="\S+?"')


def crop_bars(systems: Sequence[System], first: int, last: int) -> Iterator[tuple[str, float, float]]:
    """(SVG, width, height) of the bars from ``first`` to ``last``: one picture for each system they lie in.

    A cut at the start of a system keeps its clef.
    """
    for system in systems:
        inside = [(left, right) for bar, left, right in system.bars if first <= bar <= last]
        if not inside:
            continue
        left = 0.0 if system.first >= first else max(0.0, inside[0][0] - _EDGE)
        width = min(system.width, inside[-1][1] + _EDGE) - left
        root = f'viewBox="{number(left)} \\1 {number(width)} \\2" width="{number(width)}pt"'
        yield _ROOT.sub(root, system.svg, count=1), width, system.height
