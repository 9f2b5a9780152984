"""Voicings: which tones of a chord the comping holds, and the way from one chord to the next.

Third and seventh first, then the tones that colour the chord, then the fifth, and the root last: the
bass has it. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import combinations_with_replacement, pairwise, product

from solowright.music.chord import Chord
from solowright.music.pitch import degree_interval

VOICES = 4
COMPING_RANGE = (52, 72)  # E3 to C5: above the bass, and mostly under the solo
BRASS_RANGE = (60, 79)
WIDEST = 15  # semitones from the lowest to the highest voice
RUB = 3.0  # semitones of movement that are worth keeping two voices a half step apart out

# What is kept first, by degree; degrees that stand in for the third or the seventh rank with them.
_RANK = (
    *("3", "b3", "4", "2", "b7", "7", "bb7", "6"),
    *("b9", "#9", "#11", "b13", "b5", "#5", "13", "9", "11"),
    *("5", "1"),
)


@cache
def held_tones(chord: Chord) -> tuple[int, ...]:
    """Pitch classes of at most four tones that say what the chord is, the most telling first."""
    ranked = sorted(chord.degrees, key=lambda d: _RANK.index(d) if d in _RANK else len(_RANK))
    root = chord.root.pitch_class
    classes = dict.fromkeys((root + degree_interval(degree).semitones) % 12 for degree in ranked)
    return tuple(classes)[:VOICES]


def voice(chord: Chord, before: Sequence[int], span: tuple[int, int] = COMPING_RANGE) -> tuple[int, ...]:
    """MIDI notes, low to high, of the chord's voicing in ``span`` that moves least from ``before``."""
    middle = sum(span) / 2

    def unrest(notes: tuple[int, ...]) -> tuple[float, tuple[int, ...]]:
        drift = abs(sum(notes) / len(notes) - middle)
        rubs = sum(b - a == 1 for a, b in pairwise(notes))
        return (movement(before, notes) + 0.4 * drift + RUB * rubs if before else drift + RUB * rubs, notes)

    return min(_layouts(held_tones(chord), span), key=unrest)


def movement(before: Sequence[int], after: Sequence[int]) -> float:
    """Semitones that all voices move together; where there are more or fewer, the best pairing."""
    few, many = sorted((sorted(before), sorted(after)), key=len)
    if not few:
        return 0.0
    doubled = combinations_with_replacement(few, len(many) - len(few))
    pairings = (sorted([*few, *extra]) for extra in doubled)
    return float(min(sum(abs(a - b) for a, b in zip(pair, many, strict=True)) for pair in pairings))


@cache
def _layouts(classes: tuple[int, ...], span: tuple[int, int]) -> tuple[tuple[int, ...], ...]:
    """Every way to lay the pitch classes out in the range, once each, within a hand's width."""
    low, high = span
    places = [[midi for midi in range(low, high + 1) if midi % 12 == c] for c in classes]
    layouts = {tuple(sorted(notes)) for notes in product(*places)}
    return tuple(sorted(notes for notes in layouts if notes[-1] - notes[0] <= WIDEST))
