"""Sound made in blocks, so that an hour takes no more memory than a minute.

A part is an iterator over blocks of the lengths that ``cuts`` (rising sample numbers) leave between.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import pairwise

import numpy as np

from solowright.sound.string import Samples, add_at

BLOCK = 1 << 18  # samples: five and a half seconds

Event = tuple[int, Callable[[], Samples]]  # the sample on which it begins, and how it sounds


def cut(length: int, ahead: int = 0) -> tuple[int, ...]:
    """Where blocks of a sound of ``length`` samples meet; the first and what is played reaches ``ahead``
    samples further, for what comes out late."""
    inner = range(BLOCK + ahead, length + ahead, BLOCK)
    return (0, *inner, length + ahead)


def lay_out(events: Iterable[Event], cuts: Sequence[int]) -> Iterator[Samples]:
    """Events added up, each from its sample on; what reaches past a block goes on in the next."""
    waiting = sorted(events, key=lambda event: event[0], reverse=True)
    ringing: list[tuple[int, Samples]] = []
    for start, stop in pairwise(cuts):
        block = np.zeros(stop - start, np.float32)
        while waiting and waiting[-1][0] < stop:
            begin, make = waiting.pop()
            ringing.append((begin, make()))
        for begin, shape in ringing:
            skipped = max(0, start - begin)
            add_at(block, max(0, begin - start), shape[skipped:])
        ringing = [(begin, shape) for begin, shape in ringing if begin + len(shape) > stop]
        yield block


def joined(blocks: Iterable[Samples]) -> Samples:
    """The whole sound."""
    return np.concatenate(list(blocks))
