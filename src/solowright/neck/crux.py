"""What one move of a path asks: its load, and the cause in words a teacher would use."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from solowright.music.line import Entry
from solowright.neck.hands import Hands, Hold
from solowright.neck.picking import Act
from solowright.neck.search import Choice, Lattice
from solowright.neck.steps import STRUCK, Step

Cause = Literal["none", "shift", "slide", "finger", "pick", "reach", "tap", "return"]
KINDS: tuple[Entry, ...] = ("pick", "hammer", "pull", "slide")
STRIKES: dict[tuple[Act, bool], Cause] = {  # by the act before, and whether this one is a tap
    ("stroke", False): "pick", ("stroke", True): "reach", ("tap", True): "tap", ("tap", False): "return",
}
TAPS: dict[Cause, str] = {
    "reach": "tapped at fret {fret} {time} after the pick's last stroke; "
    "the hand has to come from the strings to the neck",
    "tap": "tapped at fret {fret} {time} after the tap before ({rate:.1f} taps a second)",
    "return": "picked {time} after the last tap; the hand has to come back from the neck",
}


@dataclass(frozen=True, slots=True)
class Shift:
    """The hand leaves its position: ``travel`` in mm, ``time`` in seconds since the fretting hand last
    had something to do, ``load`` the share of that time it needs (the pick's own load left aside)."""

    travel: float
    time: float
    load: float


@dataclass(frozen=True, slots=True)
class Move:
    """One move: its way in, its load (needed over available seconds) and what makes it."""

    entry: Entry
    load: float
    cause: Cause
    needed: float
    available: float
    before: Hold | None
    after: Hold
    travel: float = 0.0  # mm
    shift: Shift | None = None


def find_move(lattice: Lattice, choice: Choice, index: int) -> Move:
    """The move of a path into the moment at ``index``."""
    moment = lattice.moments[index]
    state, layer = choice.states[index], choice.layers[index]
    if not index:
        entry: Entry = "tap" if moment.tap else _unslurred(moment.hands)
        return Move(entry, 0.0, "none", 0.0, 0.0, None, moment.hands.holds[state])
    before = choice.states[index - 1], choice.layers[index - 1]
    return _find_move(lattice.steps[index - 1], moment.hands, before, (state, layer))


def _unslurred(hands: Hands) -> Entry:
    return "harmonic" if hands.wants[0].kind == "harmonic" else "pick"


@lru_cache(maxsize=4096)
def _find_move(step: Step, hands: Hands, start: tuple[int, int], goal: tuple[int, int]) -> Move:
    """A move from one state and layer to another: kept, since most of a line outlives an edit."""
    (state, layer), moves = goal, step.moves
    before, after = step.before.holds[start[0]], hands.holds[state]
    entry: Entry = "tap" if step.tap else _unslurred(hands)
    rows, columns = moves.travel.shape
    needed = moves.needed.item(state * rows + start[0])
    if layer != STRUCK and not step.tap:
        slurs = moves.slurs
        low, high = slurs.bounds[start[0]], slurs.bounds[start[0] + 1]
        found = low + int((slurs.goal[low:high] == state).argmax())
        entry, needed = KINDS[slurs.kind.item(found)], moves.needed.item(rows * columns + found)
    time = step.times[before.run]
    travel = moves.travel.item(start[0], state)
    cause: Cause = "finger"
    if travel:
        cause = "slide" if entry == "slide" else "shift"
    load = needed / time
    shift = Shift(travel, time, load) if travel else None
    if layer == STRUCK or step.tap:
        strike = step.strikes[start[1]]
        if strike.load > load:
            cause = STRIKES[strike.after, step.tap]
            return Move(entry, strike.load, cause, strike.needed, strike.time, before, after, shift=shift)
    return Move(entry, load, cause if load else "none", needed, time, before, after, travel, shift)


def describe_move(move: Move) -> str:
    """The cause of a load in one plain sentence."""
    time = f"{1000 * move.available:.0f} ms"
    if move.before is None or move.cause == "none":
        return "nothing here asks for speed"
    if move.cause == "pick":
        rate = f"{1 / move.available:.1f} notes a second"
        return f"picked {time} after the last stroke ({rate}); {_no_slur(move)}"
    if move.cause in TAPS:
        return TAPS[move.cause].format(fret=move.after.spots[0].fret, time=time, rate=1 / move.available)
    if move.cause in ("shift", "slide"):
        frets = _frets_travelled(move.before, move.after)
        way = f"{move.cause} of {frets} fret{'s' if frets != 1 else ''} ({move.travel:.0f} mm) in {time}"
        if move.cause == "slide":
            return way
        free = move.before.run
        cover = "no open string to cover it"
        if free:
            cover = f"covered by {'an open string' if free == 1 else 'open strings'}"
        return f"{way}, {cover}"
    return _describe_fingers(move, time)


def _frets_travelled(before: Hold, after: Hold) -> int:
    """As the hand's position counts them, or a finger used before and after if it goes further."""
    ways = [abs(after.position - before.position)]
    for spot, finger in zip(before.spots, before.fingers, strict=True):
        if finger and finger in after.fingers:
            ways.append(abs(after.spots[after.fingers.index(finger)].fret - spot.fret))
    return max(ways)


def _no_slur(move: Move) -> str:
    assert move.before is not None
    before, after = move.before.spots, move.after.spots
    if len(before) == 1 and before == after:
        return "a repeated note can't be slurred"
    if {spot.string for spot in before} != {spot.string for spot in after}:
        return "the string changes, so no slur can help"
    return "a slur here would free the pick"


def _describe_fingers(move: Move, time: str) -> str:
    assert move.before is not None
    down = sum(1 for finger in set(move.after.fingers) if finger)
    if down > 1:
        return f"{down} fingers take a new grip in {time}"
    finger = max(move.after.fingers)
    if not finger:
        return f"pull-off to the open string in {time}"
    if finger and finger in move.before.fingers:
        old = move.before.spots[move.before.fingers.index(finger)]
        new = move.after.spots[move.after.fingers.index(finger)]
        if old.string == new.string:
            return f"finger {finger} moves from fret {old.fret} to fret {new.fret} in {time}"
        way = "rolls" if old.fret == new.fret else "jumps"
        return f"finger {finger} {way} from string {old.string} to string {new.string} in {time}"
    return f"finger {finger} comes down {time} after the note before"
