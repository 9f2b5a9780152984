"""What the hand with the pick needs for its strokes, its taps, and the way between strings and neck.

It picks at one place, taps with one finger, and goes there and back as a fretting hand shifts (Fitts, see
``Timing``). All *assumed*. Which notes are tapped is written, so all of this is known before the search, but
for the layer a note was reached in. Where the string of a tap is left open, the easiest counts.
"""

from __future__ import annotations

from functools import lru_cache
from math import log2
from typing import Literal, NamedTuple

from solowright.neck.geometry import fret_distance
from solowright.neck.hands import Hands
from solowright.neck.player import Player

PICKED_AT = 0.8  # share of the scale from the nut: between the pickups (assumed)
ROOM = 60.0  # millimetres along the strings in which a stroke may fall (assumed)
Act = Literal["stroke", "tap"]


class Strike(NamedTuple):
    """A stroke or a tap: the act before it, the seconds needed since then and those there are."""

    after: Act
    needed: float
    time: float

    @property
    def load(self) -> float:
        """Needed time over available time."""
        return self.needed / self.time


def seconds_to_stroke(player: Player, tapped: Hands | None = None) -> float:
    """From the stroke before at the pick's top rate, or back from a tap."""
    if tapped is None:
        return 1.0 / player.pick_rate
    return min(_reach(player, PICKED_AT * player.scale - at, ROOM) for at, _ in _find_taps(tapped))


@lru_cache(maxsize=256)
def seconds_to_tap(player: Player, tapped: Hands, before: Hands | None = None) -> float:
    """From a stroke to a tap; from the tap before to the next."""
    if before is None:
        return min(
            _reach(player, PICKED_AT * player.scale - at, room) for at, room in _find_taps(tapped)
        )
    ways = (
        _reach(player, at - start, room) for at, room in _find_taps(tapped) for start, _ in _find_taps(before)
    )
    return max(player.timing.tap, min(ways))


def _reach(player: Player, distance: float, room: float) -> float:
    timing = player.timing
    return timing.lift + timing.bit * log2(max(1.0, 2.0 * abs(distance) / room))


def _find_taps(tapped: Hands) -> tuple[tuple[float, float], ...]:
    """Where a moment may be tapped, in millimetres from the nut, and the room a fingertip has there."""
    board = tapped.board
    frets = {spot.fret for hold in tapped.holds for spot in hold.spots}
    return tuple(
        (fret_distance(board.capo + fret, board.scale), board.gaps[fret]) for fret in sorted(frets)
    )
