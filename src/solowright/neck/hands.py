"""Every way a hand can hold what is struck at one moment: the states the search walks through.

A state is a string, fret and finger for each note, and the *position*: the fret where the index finger
rests. A single fretted note comes with its own position per finger, one finger a fret, and with the
index a fret back or the little finger a fret on (a stretch). Notes that leave the fretting hand alone
(open strings, taps, dead notes) carry the position they were reached with, 0 where none is set yet,
and count how many of them stand in a row, since the hand is free to move meanwhile.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import combinations, pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from solowright.neck.fretboard import NODES, Fretboard, Spot
from solowright.neck.player import Effort, Player

Kind = Literal["plain", "harmonic", "tap", "dead"]
GRAIN = 1.5 * 2.0**32  # added and taken away again, it leaves multiples of 2⁻²⁰
FREE_RUN = 2  # open strings in a row that the model counts; from here on "two or more"
JOINT = 14  # positions above it lie over the body
BEYOND = 12  # frets past the last where a harmonic may still be touched
SHORT_BARRE = 4  # strings that the middle, ring or little finger can be laid over (assumed)
OPEN_POSITION = 2  # the last position in which open strings lie under the hand


@dataclass(frozen=True, slots=True)
class Want:
    """One note as the hand must give it: pitch, what is locked (None: free), what the ear asks."""

    midi: int
    string: int | None = None
    fret: int | None = None
    finger: int | None = None
    kind: Kind = "plain"
    bent: bool = False
    stopped: bool = False  # vibrato or a slide wants a finger on the string
    trill: int = 0
    slides: tuple[int, int] = (0, 0)  # frets below and above its place that a slide comes from or goes to


@dataclass(frozen=True, slots=True)
class Hold:
    """One state: a spot and a finger (0: none) per note, in the order of the notes."""

    spots: tuple[Spot, ...]
    fingers: tuple[int, ...]
    position: int
    run: int  # 0 the hand holds something; 1, 2 how many moments it has been free
    effort: float
    stretch: float = 0.0  # the part of it that a single finger off its own fret costs


@dataclass(frozen=True, eq=False)
class Hands:
    """The states of one moment, and the same as arrays for the search (S states, N strings), of one
    player's hand on one neck."""

    wants: tuple[Want, ...]
    holds: tuple[Hold, ...]
    frets: NDArray[np.int16]  # (S, N), −1 where a string is silent
    fingers: NDArray[np.int16]  # (S, N), 0 where no finger is down
    position: NDArray[np.int16]
    run: NDArray[np.int16]
    effort: NDArray[np.float64]
    label: NDArray[np.int16]  # states on the same strings share a label
    board: Fretboard
    player: Player

    @cached_property
    def free(self) -> bool:
        """Whether some state leaves the hand free."""
        return bool(self.run.any())

    @cached_property
    def stretch(self) -> NDArray[np.float64]:
        """What stretches cost in each state."""
        return np.array([hold.stretch for hold in self.holds])

    @cached_property
    def by_finger(self) -> tuple[tuple[NDArray[np.int16], NDArray[np.int16], NDArray[np.int16]], ...]:
        """(thinnest string, thickest string, fret) of fingers 1 to 4 in each state; −1: up."""
        rows, strings = np.arange(len(self.run)), self.fingers.shape[1]
        found = []
        for finger in (1, 2, 3, 4):
            down = self.fingers == finger
            used = down.any(axis=1)
            thin = np.where(used, down.argmax(axis=1), -1).astype(np.int16)
            thick = np.where(used, strings - 1 - down[:, ::-1].argmax(axis=1), -1).astype(np.int16)
            fret = np.where(used, self.frets[rows, thin], -1).astype(np.int16)
            found.append((thin, thick, fret))
        return tuple(found)


@lru_cache(maxsize=4096)
def find_hands(wants: tuple[Want, ...], board: Fretboard, player: Player) -> Hands | None:
    """All states for the notes struck together; None where no hand can hold them."""
    holds = tuple(_single(wants[0], board, player) if len(wants) == 1 else _grips(wants, board, player))
    if not holds:
        return None
    frets = np.full((len(holds), len(board.open)), -1, dtype=np.int16)
    fingers = np.zeros_like(frets)
    for row, hold in enumerate(holds):
        for spot, finger in zip(hold.spots, hold.fingers, strict=True):
            frets[row, spot.string - 1] = spot.fret
            fingers[row, spot.string - 1] = finger
    names: dict[tuple[Spot, ...], int] = {}
    label = [names.setdefault(hold.spots, len(names)) for hold in holds]
    return Hands(
        wants,
        holds,
        frets,
        fingers,
        np.array([hold.position for hold in holds], dtype=np.int16),
        np.array([hold.run for hold in holds], dtype=np.int16),
        round_effort(np.array([hold.effort for hold in holds])),
        np.array(label, dtype=np.int16),
        board,
        player,
    )


def round_effort(effort: NDArray[np.float64]) -> NDArray[np.float64]:
    """Effort in multiples of 2⁻²⁰: sums of it are exact, whatever the order, so a part of a line that is
    worked out again comes out the same to the last bit."""
    rounded = effort.copy()
    round_in_place(rounded)
    return rounded


def round_in_place(effort: NDArray[np.float64]) -> None:
    """The same, without a copy."""
    effort += GRAIN
    effort -= GRAIN


def find_spots(want: Want, board: Fretboard) -> tuple[Spot, ...]:
    """The spots that give a note and keep its locks; none where the locks contradict the pitch."""
    if not 0 <= (want.finger or 0) <= 4:
        return ()
    if want.kind in ("harmonic", "dead") and want.string is not None and want.fret is not None:
        there = 1 <= want.string <= len(board.open) and 0 <= want.fret <= board.last + BEYOND
        return (Spot(want.string, want.fret),) if there else ()
    spots = board.spots(want.midi)
    if want.kind == "harmonic":
        # A node of an open string; failing that, a fretted note touched an octave above its fret.
        spots = board.harmonic_spots(want.midi) or board.spots(want.midi - 12)
    elif want.kind == "dead" and want.string and want.string <= len(board.open):
        spots = (Spot(want.string, max(0, want.midi - board.open[want.string - 1])),)
    return _keep_stopped(want, board, tuple(
        spot
        for spot in spots
        if want.string in (None, spot.string)
        and want.fret in (None, spot.fret)
        and (spot.fret or not (want.bent or want.finger or want.kind == "tap"))
        and (not spot.fret or want.finger != 0 or want.kind in ("tap", "dead"))
        and spot.fret + want.trill <= board.last
    ))


def _keep_stopped(want: Want, board: Fretboard, spots: tuple[Spot, ...]) -> tuple[Spot, ...]:
    """The spots where a finger is on the string for vibrato or a slide, with the frets that the slide
    needs: none goes through an open string. Where there are no such spots, those that come nearest."""
    if not want.stopped:
        return spots
    below, above = want.slides
    stopped = tuple(spot for spot in spots if spot.fret)
    room = tuple(spot for spot in stopped if spot.fret - below >= 1 and spot.fret + above <= board.last)
    return room or stopped or spots


def _single(want: Want, board: Fretboard, player: Player) -> Iterator[Hold]:
    for spot in find_spots(want, board):
        if not spot.fret or want.kind in ("tap", "dead"):
            yield from _free((spot,), board, player, want.trill)
        else:
            yield from _fretted(want, spot, board, player)


def _free(spots: tuple[Spot, ...], board: Fretboard, player: Player, trill: int = 0) -> Iterator[Hold]:
    """The fretting hand does nothing: it keeps whatever position it has; one that reaches the other note
    of a trill."""
    effort = player.effort
    for position in range(board.last + 1):
        if trill and position and not position <= trill <= position + 3:
            continue
        away = effort.high_open * max(0, position - OPEN_POSITION)
        cost = away + _place_effort(spots, position, board, effort) + _gap_effort(spots, effort)
        for run in range(1, FREE_RUN + 1):
            yield Hold(spots, (0,) * len(spots), position, run, cost)


def _fretted(want: Want, spot: Spot, board: Fretboard, player: Player) -> Iterator[Hold]:
    effort = player.effort
    free = _trill_fingers(want, spot, board, player) if want.trill else dict.fromkeys((1, 2, 3, 4), 0.0)
    for finger in (want.finger,) if want.finger else free:
        natural = spot.fret - finger + 1
        positions = [(natural, 0.0, 0.0)] if natural >= 1 else []
        if finger in (1, 4):
            # A fret written by the player may have been meant for the widest stretch there is.
            for frets in (1,) if want.fret is None else (1, 2):
                wide = natural + frets if finger == 1 else natural - frets
                low, high = min(spot.fret, wide), max(spot.fret, wide + 3)
                if wide >= 1 and high <= board.last and board.span(low, high) <= player.reach:
                    off = frets * _stretch_effort(board.span(low, high), effort)
                    positions.append((wide, off, off))
        if (not natural and finger > 2) or (not positions and want.finger):  # pulled in at the nut
            positions.append((1, effort.bunch * (1 - natural), 0.0))
        cost = effort.fingers[finger - 1] + (effort.bend_finger[finger - 1] if want.bent else 0.0)
        cost += free.get(finger, 0.0)
        if want.kind == "harmonic":
            cost += effort.faint * (NODES.get(spot.fret, 12) / 12 - 1)
        for position, off, stretch in positions:
            yield Hold(
                (spot,), (finger,), position, 0,
                cost + off + _place_effort((spot,), position, board, effort), stretch,
            )


def _trill_fingers(want: Want, spot: Spot, board: Fretboard, player: Player) -> dict[int, float]:
    """Fingers that leave another free for the upper note of a trill, and what that one costs; only the
    index, as if the other hand helped, where none reaches it."""
    effort, span = player.effort, board.span(spot.fret, spot.fret + want.trill)
    found: dict[int, float] = {}
    for finger, upper in combinations((1, 2, 3, 4), 2):
        if span <= player.span_of(finger, upper).most:
            off = abs(want.trill - (upper - finger))
            cost = effort.trill_finger[upper - 1] + effort.stretch * off
            found[finger] = min(cost, found.get(finger, cost))
    return found or {1: effort.trill_struck}


def _stretch_effort(span: float, effort: Effort) -> float:
    return effort.stretch + effort.stretch_mm * max(0.0, span - effort.rest_span)


def _place_effort(spots: tuple[Spot, ...], position: int, board: Fretboard, effort: Effort) -> float:
    """High positions, high frets on thick strings, which sound dull and lie far from the thumb; taste."""
    depth = max(1, len(board.open) - 1)
    thick = sum((spot.string - 1) / depth * max(0, spot.fret - 7) for spot in spots)
    away = effort.height * max(0, position - 1)
    body = effort.joint * max(0, position - JOINT)
    if effort.home and position:
        away = effort.stray * min(abs(position - home) for home in effort.home)
    open_ = sum(not spot.fret for spot in spots)
    return away + body + effort.thick * thick + effort.open_string * open_


def _gap_effort(spots: tuple[Spot, ...], effort: Effort) -> float:
    strings = [spot.string for spot in spots]
    return effort.muted_gap * (max(strings) - min(strings) + 1 - len(strings))


def find_voicings(wants: tuple[Want, ...], board: Fretboard) -> Iterator[tuple[Spot, ...]]:
    """Spots for notes together, each on a string of its own, whatever the hand says."""

    def assign(index: int, taken: tuple[Spot, ...]) -> Iterator[tuple[Spot, ...]]:
        if index == len(wants):
            yield taken
            return
        for spot in choices[index]:
            if all(spot.string != other.string for other in taken):
                yield from assign(index + 1, (*taken, spot))

    choices = [find_spots(want, board) for want in wants]
    yield from assign(0, ())


def _grips(wants: tuple[Want, ...], board: Fretboard, player: Player) -> Iterator[Hold]:
    for spots in find_voicings(wants, board):
        down = [
            index for index, spot in enumerate(spots)
            if spot.fret and wants[index].kind not in ("tap", "dead")
        ]
        if not down:
            yield from _free(spots, board, player)
            continue
        frets = [spots[index].fret for index in down]
        if board.span(min(frets), max(frets)) > player.reach:
            continue
        for fingers in _finger_sets(wants, spots, down, board, player):
            yield _grip(spots, fingers, board, player)


def _finger_sets(
    wants: tuple[Want, ...], spots: tuple[Spot, ...], down: list[int], board: Fretboard, player: Player
) -> Iterator[tuple[int, ...]]:
    """Fingers for a voicing: in order up the neck, and on one fret from the thick string to the thin,
    unless locks say otherwise; one finger takes several strings only as a barre."""

    def rank(index: int) -> tuple[int, int, int]:
        return spots[index].fret, wants[index].finger or 0, -spots[index].string

    order = sorted(down, key=rank)
    chosen = [0] * len(spots)

    def reaches(finger: int, fret: int, earlier: list[int]) -> bool:
        return all(
            board.span(spots[other].fret, fret) <= player.span_of(chosen[other], finger).most
            for other in earlier
            if finger != chosen[other]
        )

    def place(step: int, last: int) -> Iterator[tuple[int, ...]]:
        if step == len(order):
            if _barres_hold(spots, chosen):
                yield tuple(chosen)
            return
        index = order[step]
        fret, locked = spots[index].fret, wants[index].finger
        same_fret = step > 0 and spots[order[step - 1]].fret == fret
        leads = fret == spots[order[0]].fret
        laid = same_fret and (locked or not leads or last <= fret)  # none is laid from before the nut
        for finger in range(last if laid else last + 1, 5):
            if locked in (None, finger) and reaches(finger, fret, order[:step]):
                chosen[index] = finger
                yield from place(step + 1, finger)

    yield from place(0, 0)


def _barres_hold(spots: tuple[Spot, ...], fingers: list[int]) -> bool:
    """A finger laid over strings stops all of them: none between may sound lower. Fingers 2 to 4 lie over
    ``SHORT_BARRE`` strings at most."""
    for finger in {finger for finger in fingers if finger and fingers.count(finger) > 1}:
        laid = [spot for spot, used in zip(spots, fingers, strict=True) if used == finger]
        low, high = min(spot.string for spot in laid), max(spot.string for spot in laid)
        if finger > 1 and high - low >= SHORT_BARRE:
            return False
        if any(low < spot.string < high and spot.fret < laid[0].fret for spot in spots):
            return False
    return True


def _open_effort(spots: tuple[Spot, ...], position: int, effort: Effort) -> float:
    """Open strings in a grip, on top of what each costs by itself: an electric guitarist strums them freely
    in open position; further up they ring on unlike the notes that are stopped, and can't be damped by
    easing the fingers (common practice, no source)."""
    count, above = sum(not spot.fret for spot in spots), max(0, position - OPEN_POSITION)
    share = effort.open_above if above else effort.open_strummed
    return count * max(0.0, effort.open_string) * (share - 1) + effort.high_open * above * (count > 0)


def _barre_effort(spots: tuple[Spot, ...], fingers: tuple[int, ...], finger: int, effort: Effort) -> float:
    """Laying a finger: each string it covers beyond the first; a silent one among them that it can't damp;
    a thinner one that sounds lower, which it has to be arched over; such a one next to its tip; another
    finger close beside it on its fret."""
    laid = [spot for spot, used in zip(spots, fingers, strict=True) if used == finger]
    thin, thick = min(spot.string for spot in laid), max(spot.string for spot in laid)
    covered = {spot.string for spot in spots if thin <= spot.string <= thick}
    cost = effort.barre * effort.barre_finger[finger - 1] * (thick - thin)
    cost += effort.muted_gap * (thick - thin + 1 - len(covered))
    lower = {spot.string for spot in spots if spot.fret < laid[0].fret}
    cost += effort.arch * (min(lower, default=thin) < thin) + effort.tip * (thick + 1 in lower)
    beside = {spot.string for spot in spots if spot.fret == laid[0].fret} & {thin - 1, thick + 1}
    return cost + effort.cramp * len(beside)


def _grip(spots: tuple[Spot, ...], fingers: tuple[int, ...], board: Fretboard, player: Player) -> Hold:
    effort = player.effort
    held = sorted((spot.fret, finger) for spot, finger in zip(spots, fingers, strict=True) if finger)
    position = max(1, held[0][0] - held[0][1] + 1)
    cost = _place_effort(spots, position, board, effort) + _gap_effort(spots, effort)
    cost += _open_effort(spots, position, effort)
    for fret, finger in set(held):
        off = fret - (position + finger - 1)
        cost += effort.fingers[finger - 1] + effort.bunch * max(0, -off) * board.gaps[1] / board.gaps[fret]
        if off > 0:
            cost += off * _stretch_effort(board.span(held[0][0], fret), effort)
        if fingers.count(finger) > 1:
            cost += _barre_effort(spots, fingers, finger, effort)
    for (fret, finger), (next_fret, next_finger) in pairwise(held):
        left_out, room = next_finger - finger - 1, max(0, next_fret - fret - 1)
        cost += effort.cramp * max(0, left_out - room)
    return Hold(spots, fingers, position, 0, cost)
