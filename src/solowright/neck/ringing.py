"""Runs that ring: notes marked to ring on are, to the hand, one grip whose strings sound in turn.

Where the notes of such a run can be held together, the ways of holding them all are added to the ways of
playing each note alone, and those are made dearer: a finger that leaves its string cuts the note short.
Runs too wide for one grip are taken in stretches.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from solowright.music.line import Note
from solowright.neck.fretboard import Fretboard
from solowright.neck.hands import Hands, Hold, Want, find_hands
from solowright.neck.player import Player

LEAST = 3  # notes of different pitch that make a run worth a grip
TRIED = 24  # grips for a run
GRAINS = 2.0**20  # effort in so many parts: sums stay exact in any order
ALONE = 1.0  # effort of playing a note of such a run by itself (assumed)


@dataclass(frozen=True, slots=True)
class Ringing:
    """One stretch: the moments from ``first`` up to ``end`` and what is held together for them."""

    first: int
    end: int
    wants: tuple[Want, ...]


def find_ringing(
    notes: Sequence[tuple[Note, ...]], wants: Sequence[tuple[Want, ...]], board: Fretboard, player: Player
) -> tuple[Ringing, ...]:
    """The stretches of single notes marked to ring that one grip can hold, from what is struck together
    and what the hand is to give for it. All of them are struck; a note slurred into by the writing is in
    none, nor is the one before it."""
    found, first = [], 0
    while first < len(notes):
        end = first
        held: tuple[Want, ...] = ()
        while end < len(notes) and _may_ring(notes, wants, first, end):
            more = _join(held, wants[end][0])
            if len(more) > 1 and find_hands(more, board, player) is None:
                break
            held, end = more, end + 1
        if len(held) >= LEAST:
            found.append(Ringing(first, end, held))
        first = max(end, first + 1)
    return tuple(found)


def _may_ring(
    notes: Sequence[tuple[Note, ...]], wants: Sequence[tuple[Want, ...]], first: int, at: int
) -> bool:
    """Whether the note at a moment may sound together with those before it, from ``first`` on."""
    if len(notes[at]) > 1:
        return False
    (note,), (want,) = notes[at], wants[at]
    plain = want.kind == "plain" and not (note.grace or want.bent or want.stopped or want.trill)
    if at + 1 < len(notes) and any(_is_slurred(each) for each in notes[at + 1]):
        return False
    plain = plain and not _is_slurred(note)
    return plain and (at == first or notes[at - 1][0].let_ring) and (at > first or note.let_ring)


def _is_slurred(note: Note) -> bool:
    return note.slurred or note.entry in ("hammer", "pull", "slide")


def _join(held: tuple[Want, ...], want: Want) -> tuple[Want, ...]:
    """What is held, high notes first; the same note again is the same string again."""
    return held if want in held else tuple(sorted((*held, want), key=lambda each: -each.midi))


@lru_cache(maxsize=1024)
def add_grips(
    hands: Hands, wants: tuple[Want, ...], times: int, board: Fretboard, player: Player
) -> Hands:
    """The ways of playing one note of a run of so many: alone, or with all that the run wants held."""
    together = find_hands(wants, board, player)
    assert together is not None, "a run is only found where a hand can hold it"
    column = wants.index(hands.wants[0])
    rows = [row for row in np.argsort(together.effort, kind="stable").tolist()
            if any(together.holds[row].fingers)][:TRIED]
    effort = np.round(together.effort[rows] / times * GRAINS) / GRAINS
    grips = tuple(
        Hold((hold.spots[column],), (hold.fingers[column],), hold.position, 0, float(each))
        for hold, each in zip((together.holds[row] for row in rows), effort, strict=True)
    )
    holds = hands.holds + grips
    names: dict[tuple[object, ...], int] = {}
    label = [names.setdefault(hold.spots, len(names)) for hold in holds]
    return replace(
        hands,
        holds=holds,
        frets=np.concatenate((hands.frets, together.frets[rows])),
        fingers=np.concatenate((hands.fingers, together.fingers[rows])),
        position=np.concatenate((hands.position, together.position[rows])),
        run=np.concatenate((hands.run, together.run[rows])),
        effort=np.concatenate((hands.effort + ALONE, effort)),
        label=np.array(label, dtype=np.int16),
    )
