"""The player with what a file says of the hand: the player's own file first, a sheet's header over it.

What is said of taste replaces what was said before, so it is weighed from the effort without any taste.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from solowright.music.hand import AS_IT_IS, Hand
from solowright.music.tune import Tune
from solowright.neck.player import Effort, Player

WEAK = 0.6  # effort of using a weak finger, on top (assumed)
OPEN_STRINGS = {"like": -0.4, "neutral": 0.0, "avoid": 0.8}  # effort of an open string, on top (assumed)
LEGATO = {"little": 2.0, "some": 1.0, "much": 0.35}  # share of a slur's effort (assumed)
GIVEN = ("scale", "frets", "reach", "pick_rate", "taps")


def player_for(tune: Tune, player: Player | None = None) -> Player:
    """Whoever plays the tune: the player (the usual one for None) with what its sheet says of the hand."""
    return suit(player or Player(), tune.hand)


def suit(player: Player, hand: Hand) -> Player:
    """The player with what is said of the hand; the same where nothing is."""
    return player if hand == AS_IT_IS else _suit(player, hand)


@lru_cache(maxsize=64)
def _suit(player: Player, hand: Hand) -> Player:
    given = {name: value for name in GIVEN if (value := getattr(hand, name)) is not None}
    taste, plain = hand.over(player.said), player.untouched or player.effort
    return replace(player, **given, said=taste, untouched=plain, effort=_weigh(taste, plain))


def _weigh(taste: Hand, effort: Effort) -> Effort:
    weak = taste.weak_fingers or ()
    index, middle, ring, little = (
        each + WEAK * (finger in weak) for finger, each in enumerate(effort.fingers, start=1)
    )
    slurs = LEGATO[taste.legato or "some"]
    return replace(
        effort,
        fingers=(index, middle, ring, little),
        home=effort.home if taste.positions is None else taste.positions,
        open_string=effort.open_string + OPEN_STRINGS[taste.open_strings or "neutral"],
        hammer=effort.hammer * slurs,
        pull=effort.pull * slurs,
        slide=effort.slide * slurs,
    )


def tell_hand(hand: Hand) -> str:
    """What a sheet says of the hand, in one sentence; empty where it says nothing."""
    told = [
        text.format(", ".join(map(str, value)) if isinstance(value, tuple) else _number(value))
        for name, text in TOLD.items()
        if (value := getattr(hand, name)) not in (None, ())
    ]
    told += [f"no {name.replace('_', ' ')}" for name in ("weak_fingers", "positions")
             if getattr(hand, name) == ()]
    if hand.taps is not None:
        told.append("taps" if hand.taps else "no taps")
    return f"The sheet counts over the player: {', '.join(told)}." if told else ""


TOLD = {
    "scale": "scale length {} mm", "frets": "{} frets", "reach": "reach {} mm",
    "pick_rate": "{} picked notes a second", "weak_fingers": "weak fingers {}", "positions": "positions {}",
    "open_strings": "open strings: {}", "legato": "legato: {}",
}


def _number(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)
