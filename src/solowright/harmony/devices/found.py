"""A device as it is found, and what it costs to tell.

A reading is the shortest telling of the line, counted in bits. Telling a note by itself costs what
an interval costs on average; a device costs its name, its parameters, and a little for every
departure from its rule. What a device saves is how sure we are of it: three scale notes in a row
save nothing, eight of them save a lot.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from math import log2
from typing import NamedTuple

Facts = Mapping[str, object]

# Entropy of the interval to the next note, from the shares in 111,175 notes of 305 solos (semitones:
# 1 30.4 %, 2 29.5, 3 18.0, 4 8.7, 5 5.5, repeat 3.3; the rest spread over 14): sum of p·log2(2/p).
NOTE_BITS = 3.5
KIND_BITS = log2(24)  # which of the device kinds
# Kinds that say where a passage stands to the band or to what was played before. They are chosen apart
# from the others, which say what it is made of: a note may be in an arpeggio and on the band's hit.
RELATIONS = frozenset(("band-hit", "slide-into-hit", "answer", "transposed-phrase", "varied-echo"))
LENGTH_BITS = 1.0  # how far it goes
WAY_BITS = 1.0  # up or down
TURN_BITS = 2.5  # it turns round
SKIP_BITS = 3.0  # it leaves one of its notes out
PASSING_BITS = 2.0  # a foreign note slipped in


class Found(NamedTuple):
    """A device over the events from ``start`` up to ``stop``, told in ``bits``."""

    kind: str
    start: int
    stop: int
    bits: float
    facts: Facts


def choice_bits(count: int) -> float:
    """Bits to name one of ``count`` equally likely things."""
    return log2(max(1, count))


def tell_path(midi: Sequence[int]) -> str:
    """The way a line goes: ``up``, ``down``, ``up and back``, ``down and back``, or ``broken``."""
    ways = [after > before for before, after in pairwise(midi)]
    turns = sum(before != after for before, after in pairwise(ways))
    first = "up" if ways[0] else "down"
    return (first, f"{first} and back")[turns] if turns < 2 else "broken"


def parts(start: int, stop: int, shortest: int) -> Iterator[tuple[int, int]]:
    """Every part of a run that is long enough: the choice may leave its ends to other devices."""
    for begin in range(start, stop - shortest + 1):
        for end in range(begin + shortest, stop + 1):
            yield begin, end
