from __future__ import annotations

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.harmony.choice import choose_devices
from solowright.harmony.devices.found import NOTE_BITS, Found


@st.composite
def puzzles(draw: st.DrawFn) -> tuple[tuple[int, ...], list[Found]]:
    sizes = tuple(draw(st.lists(st.integers(1, 3), min_size=1, max_size=8)))
    found = []
    for _ in range(draw(st.integers(0, 7))):
        start = draw(st.integers(0, len(sizes) - 1))
        stop = draw(st.integers(start + 1, len(sizes)))
        found.append(Found("device", start, stop, draw(st.floats(0.5, 12)), {}))
    return sizes, found


def told_in(sizes: tuple[int, ...], chosen: tuple[Found, ...]) -> float:
    covered = {place for device in chosen for place in range(device.start, device.stop)}
    over = sum(size for place, size in enumerate(sizes) if place not in covered)
    return sum(device.bits for device in chosen) + NOTE_BITS * over


def overlap(a: Found, b: Found) -> bool:
    return a.start < b.stop and b.start < a.stop


@settings(max_examples=150, deadline=None)
@given(puzzles())
def test_no_other_set_of_devices_tells_the_line_shorter(puzzle: tuple[tuple[int, ...], list[Found]]) -> None:
    sizes, found = puzzle
    chosen = choose_devices(found, sizes)
    assert not any(overlap(a, b) for a, b in combinations(chosen, 2))
    sets = (some for size in range(len(found) + 1) for some in combinations(found, size))
    shortest = min(
        told_in(sizes, some) for some in sets if not any(overlap(a, b) for a, b in combinations(some, 2))
    )
    assert abs(told_in(sizes, chosen) - shortest) < 1e-6


def test_a_device_that_saves_nothing_is_left_out() -> None:
    assert choose_devices([Found("device", 0, 2, 2 * NOTE_BITS, {})], (1, 1)) == ()
