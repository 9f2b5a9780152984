"""Enclosure: a chord tone taken from both sides, above and below, before it is struck.

Common practice, no source; that jazz soloists reach 8.2 % of their chord tones by a two-note
enclosure is measured in the corpus (see ``benchmarks/explaining.py``).
"""

from __future__ import annotations

from collections.abc import Iterator

from solowright.harmony.devices.found import KIND_BITS, Found, choice_bits
from solowright.harmony.ground import OFF, Ground

KIND = "enclosure"

# The notes before the target, in semitones from it, and bits to tell which.
FIGURES: tuple[tuple[tuple[int, ...], float], ...] = (
    ((2, -1), 1.5),  # step above, half step below: the commonest
    ((1, -1), 2.0),
    ((-1, 1), 2.5),
    ((-1, 2), 2.5),
    ((1, -2), 3.0),
    ((-2, 1), 3.0),
    ((2, -2), 3.5),
    ((-2, 2), 3.5),
    ((2, 1, -1), 3.0),
    ((-2, -1, 1), 3.0),
    ((-2, -1, 2), 3.0),
    ((1, -2, -1), 3.0),
    ((2, -2, -1), 3.0),
    ((-1, 2, 1), 3.0),
    ((2, 1, -2, -1), 4.0),
    ((-2, -1, 2, 1), 4.0),
)
WEAK_BITS = 1.5  # the target falls off the beat, or weaker than the notes around it
LONGEST = 4
_BY_SHAPE = dict(FIGURES)


def find(ground: Ground) -> Iterator[Found]:
    """Every enclosure, with its target and again without it, as another device may begin there."""
    for target, size, bits in enclosed(ground):
        colours = ground.colours(target)
        assert colours is not None, "an enclosed note is a chord tone"
        facts = {
            "target": ground.name(target),
            "degree": colours.names[ground.events[target].midi % 12],
            "over": colours.chord.symbol,
            "notes": [ground.name(index) for index in range(target - size, target)],
        }
        bits += KIND_BITS
        yield Found(KIND, target - size, target + 1, bits + choice_bits(len(colours.core)), facts)
        yield Found(KIND, target - size, target, bits, facts)


def enclosed(ground: Ground) -> Iterator[tuple[int, int, float]]:
    """(event of the target, how many notes enclose it, bits) for every enclosure, the longest at
    each target."""
    events = ground.events
    for first, stop in ground.stretches:
        for target in range(first + 2, stop):
            colours = ground.colours(target)
            goal = events[target].midi
            if colours is None or goal % 12 not in colours.core:
                continue
            for size in range(min(LONGEST, target - first), 1, -1):
                around = tuple(events[index].midi - goal for index in range(target - size, target))
                bits = _BY_SHAPE.get(around)
                if bits is not None and _leads_to(ground, target, size):
                    yield target, size, bits + (0 if _is_strong(ground, target, size) else WEAK_BITS)
                    break


def _leads_to(ground: Ground, target: int, size: int) -> bool:
    """Whether the notes before the target point at it: not all of them say the chord themselves."""
    before = ground.events[target - size : target]
    return any(not ground.spans[event.span].holds(event.midi % 12) for event in before)


def _is_strong(ground: Ground, target: int, size: int) -> bool:
    """Whether the target falls on a beat, and none of the notes around it on a stronger one."""
    weight = ground.events[target].weight
    return weight > OFF and all(event.weight <= weight for event in ground.events[target - size : target])
