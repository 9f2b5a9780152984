"""The arrangement of the reasons is the first of the cheapest, as trying them all finds it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.page.drawing import Box
from solowright.page.under import Arranged, Block, Reason, arrange


@st.composite
def choices(draw: st.DrawFn) -> list[list[Block]]:
    edges = st.integers(0, 300).map(float)
    found = []
    for _ in range(draw(st.integers(0, 5))):
        low = draw(st.sampled_from((13.0, 23.2, 33.4)))
        lefts = draw(st.lists(edges, min_size=1, max_size=3, unique=True))
        wide = draw(st.sampled_from((40.0, 120.0, 165.0)))
        found.append([
            Block(Reason("a", left, left + wide), ("a",), left, Box(left, 0.0, left + wide, low), bool(place))
            for place, left in enumerate(lefts)
        ])  # fmt: skip
    return found


def stand(blocks: Sequence[Block]) -> Arranged:
    """Each block five points under those before it that are less than ten aside."""
    placed: list[tuple[Block, float]] = []
    for block in blocks:
        above = [
            y + other.box.bottom
            for other, y in placed
            if other.box.left < block.box.right + 10.0 and block.box.left - 10.0 < other.box.right
        ]
        placed.append((block, max(above, default=0.0) + 5.0))
    return tuple(placed)


def cost(arranged: Arranged) -> float:
    lowest = max((y + block.box.bottom for block, y in arranged), default=0.0)
    return lowest + sum(0.1 * y + 3.0 * block.moved for block, y in arranged)


@settings(max_examples=150, deadline=None)
@given(choices())
def test_no_other_arrangement_costs_less(blocks: list[list[Block]]) -> None:
    found = arrange(blocks)
    assert found == stand([block for block, _ in found])
    assert found == min(map(stand, product(*blocks)), key=cost)
