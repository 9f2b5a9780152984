"""A line under the hand: string, fret, finger and entry for every note, and how fast it can go.

Load is the time a move needs over the time it has; the limit tempo is where some load reaches 1, with
the swing kept. Fingerings are offers, best first: players differ, and what a player fixes is kept.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf
from typing import Literal

from solowright.errors import InputError
from solowright.music.chart import Place
from solowright.music.line import Entry, Line, Note
from solowright.music.tune import Tune
from solowright.neck.crux import Move, Shift, describe_move, find_move
from solowright.neck.hardest import keep_below_peak, keep_playable
from solowright.neck.layout import lay_out
from solowright.neck.moments import Event
from solowright.neck.offers import find_offers, really_differ
from solowright.neck.player import Player
from solowright.neck.ranges import FretRange, keep_ranges
from solowright.neck.refusals import refuse_entry
from solowright.neck.search import Choice, DeadEnd, Known, Lattice
from solowright.neck.shapes import Shape, keep_shapes
from solowright.neck.taste import player_for

ROUNDING = 1e-9  # equal loads: the first is the crux
Objective = Literal["effort", "hardest"]


@dataclass(frozen=True, slots=True)
class Placed:
    """A note under the hand. ``finger`` 0: no finger of the fretting hand (open, tapped, dead).

    ``load`` is that of the move into it; ``locked``: the input fixed some of this.
    """

    note: Note
    string: int
    fret: int
    finger: int
    entry: Entry
    load: float
    locked: bool
    position: int = 0  # fret where the index finger rests, 0 while none is set
    shift: Shift | None = None  # how the hand came here, where it left another position


@dataclass(frozen=True, slots=True)
class Crux:
    """The hardest move: where it lands, its load, and why, in a teacher's words."""

    place: Place
    load: float
    why: str


@dataclass(frozen=True, slots=True)
class Path:
    """One fingering: its cost (effort, lower is easier), its limit tempo (inf where nothing moves),
    its crux (None for the same reason), and its notes, one to one with the line's."""

    cost: float
    limit_tempo: float
    crux: Crux | None
    notes: tuple[Placed, ...]


@dataclass(frozen=True, slots=True)
class Fingering:
    """The best paths of a tune, cheapest first; tempo, limit and crux are those of the first."""

    tempo: float
    limit_tempo: float
    crux: Crux | None
    paths: tuple[Path, ...]
    shapes: tuple[Shape, ...] = ()


def finger(
    tune: Tune,
    player: Player | None = None,
    best: int = 1,
    refinger: bool = False,
    objective: Objective = "effort",
    ranges: tuple[FretRange, ...] = (),
) -> Fingering:
    """The ``best`` cheapest fingerings that differ by a real choice: three notes in a row or more on
    other strings, or failing that other slurs.

    A fingering that can be played at the tempo always comes before one that can't.
    ``objective``: the least effort in all, or ``hardest``: the hardest move as easy as can be, and
    only then the least effort.

    ``ranges`` keep passages to a part of the neck.

    What the line fixes (string, fret, finger, entry) is kept; ``refinger`` drops it, save taps and
    harmonics, which are part of the sound. Raises InputError, with bar and beat, for a note off the
    neck, notes that need one string, a grip beyond the hand, and locks that contradict each other.
    """
    nothing = Solved(_find_nothing(tune), player or Player(), refinger)
    return _solve(tune, nothing, best, objective, ranges).fingering


@dataclass(frozen=True, slots=True)
class Solved:
    """A fingering, with what the next can take over after an edit (see ``solve_after``): what is known of
    the playable ways, of all ways where none is playable, and of those in which shapes are kept."""

    fingering: Fingering
    player: Player
    refinger: bool
    playable: Known | None = None
    beyond: Known | None = None
    shaped: Known | None = None


def solve(tune: Tune, player: Player | None = None, refinger: bool = False) -> Solved:
    """What ``finger(tune, player, refinger=refinger)`` finds, kept for ``solve_after``."""
    return solve_after(Solved(_find_nothing(tune), player or Player(), refinger), tune)


def solve_after(previous: Solved, tune: Tune) -> Solved:
    """The same for a tune after an edit, by the same player: exactly what ``solve`` finds, but only what the
    edit can change is worked out again. Raises InputError as ``finger`` does."""
    return _solve(tune, previous, 1, "effort", ())


def _find_nothing(tune: Tune) -> Fingering:
    return Fingering(tune.tempo.first, inf, None, (Path(0.0, inf, None, ()),))


def _solve(
    tune: Tune, previous: Solved, best: int, objective: Objective, ranges: tuple[FretRange, ...]
) -> Solved:
    events, lattice = lay_out(tune, previous.player, previous.refinger)
    if not events:
        return Solved(_find_nothing(tune), previous.player, previous.refinger)
    if ranges:
        lattice = keep_ranges(tune, events, lattice, ranges)
    if objective == "hardest":
        paths = _find_paths(tune, events, keep_below_peak(lattice), best)
        return replace(previous, fingering=_lead_by(tune, paths, ()))
    playable = replace(keep_playable(lattice), known=previous.playable)
    usable = playable if playable.passable else replace(lattice, known=previous.beyond)
    paths = _find_paths(tune, events, usable, best)
    shaped, shapes = keep_shapes(tune, usable, player_for(tune, previous.player).frets - tune.capo)
    learned = None
    if shapes:
        shaped = replace(shaped, known=previous.shaped or usable.learn())
        paths, shapes = _prefer_shapes(tune, events, shaped, shapes, paths)
        learned = shaped.learn()
    return Solved(
        _lead_by(tune, paths, shapes), previous.player, previous.refinger, playable.learn(),
        None if usable is playable else usable.learn(), learned,
    )


def _lead_by(tune: Tune, paths: tuple[Path, ...], shapes: tuple[Shape, ...]) -> Fingering:
    return Fingering(tune.tempo.first, paths[0].limit_tempo, paths[0].crux, paths, shapes)


def _prefer_shapes(
    tune: Tune, events: tuple[Event, ...], shaped: Lattice, shapes: tuple[Shape, ...],
    paths: tuple[Path, ...],
) -> tuple[tuple[Path, ...], tuple[Shape, ...]]:
    """The paths, led by the one that moves shapes along the neck where that is worth it."""
    if not shaped.passable or shaped.best.cost >= paths[0].cost:
        return paths, ()
    first = _read_path(tune, events, shaped, shaped.best)
    if first.limit_tempo < min(tune.tempo.first, paths[0].limit_tempo):
        return paths, ()
    rest = [path for path in paths if really_differ(_strings(path), _strings(first))]
    return (first, *rest[: len(paths) - 1]), shapes


def _strings(path: Path) -> tuple[int, ...]:
    return tuple(placed.string for placed in path.notes)


def _find_paths(tune: Tune, events: tuple[Event, ...], lattice: Lattice, best: int) -> tuple[Path, ...]:
    try:
        choices = find_offers(lattice, max(1, best))
    except DeadEnd as end:
        raise InputError(_refuse(tune, events, end.index)) from None
    return tuple(_read_path(tune, events, lattice, choice) for choice in choices)


def apply_path(tune: Tune, path: Path) -> Tune:
    """The tune with a path's strings, frets, fingers and entries written into its line."""
    notes = tuple(
        note.fingered(
            placed.string,
            placed.fret,
            note.finger if placed.entry == "tap" or note.dead else placed.finger,
            placed.entry,
            _stay_stopped(note.slide_from, placed),
            note.slide_to if placed.fret or note.dead else 0,
        )
        for note, placed in zip(tune.line.notes, path.notes, strict=True)
    )
    return replace(tune, line=Line(notes))


def _read_path(tune: Tune, events: tuple[Event, ...], lattice: Lattice, choice: Choice) -> Path:
    notes: list[Placed] = []
    worst: tuple[Move, int] | None = None
    for index, event in enumerate(events):
        move = find_move(lattice, choice, index)
        if move.load > (worst[0].load if worst else 0.0) + ROUNDING:
            worst = (move, index)
        hold = lattice.moments[index].hands.holds[choice.states[index]]
        rows = zip(event.notes, hold.spots, hold.fingers, event.entries, event.locked, strict=True)
        notes += [
            Placed(
                note, spot.string, spot.fret, used, entry or move.entry, move.load, locked,
                hold.position, move.shift,
            )
            for note, spot, used, entry, locked in rows
        ]
    crux = None
    limit = inf
    if worst:
        move, index = worst
        crux = Crux(tune.chart.place(events[index].notes[0].onset), move.load, describe_move(move))
        limit = tune.tempo.first / move.load
    return Path(choice.cost, limit, crux, tuple(notes))


def _refuse(tune: Tune, events: tuple[Event, ...], index: int) -> str:
    note = events[index].notes[0]
    before = events[index - 1].notes[0] if index else None
    return f"{tune.chart.place(note.onset)}: {refuse_entry(events[index].entry, note, before)}"


def _stay_stopped(semitones: int, placed: Placed) -> int:
    """A slide in begins at fret 1 at the lowest, and there is none to an open string."""
    if placed.note.dead:
        return semitones
    return max(semitones, 1 - placed.fret) if placed.fret else 0
