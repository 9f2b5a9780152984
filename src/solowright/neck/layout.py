"""A tune laid out for the search: its moments, and every way to play each on this neck."""

from __future__ import annotations

from solowright.music.tune import Tune
from solowright.neck.fretboard import Fretboard
from solowright.neck.moments import Event, find_events, make_moments
from solowright.neck.player import Player
from solowright.neck.search import Lattice
from solowright.neck.steps import make_steps
from solowright.neck.taste import player_for

LONG_NECK = 24  # frets of the longest common neck


def lay_out(tune: Tune, player: Player, refinger: bool = False) -> tuple[tuple[Event, ...], Lattice]:
    """What is struck when, and every way to play it. Raises InputError as ``finger`` does."""
    player = player_for(tune, player)
    events = find_events(tune, refinger)
    board = make_board(tune, events, player)
    moments = make_moments(tune, events, board, player)
    return events, Lattice(moments, make_steps(moments))


def make_board(tune: Tune, events: tuple[Event, ...], player: Player) -> Fretboard:
    """The neck as the tune strings it, with the player's frets."""
    return Fretboard(tune.tuning, tune.capo, _count_frets(tune, events, player), player.scale)


def _count_frets(tune: Tune, events: tuple[Event, ...], player: Player) -> int:
    """The player's frets, or 24 where the input itself writes a stopped note up there."""
    written = [
        want.fret + tune.capo
        for event in events
        for want in event.wants
        if want.fret is not None and want.kind in ("plain", "tap")
    ]
    highest = max(written, default=0)
    return LONG_NECK if player.frets < highest <= LONG_NECK else player.frets
