"""How fast a line can go: under one fingering, under any, and what a change of tempo changes.

Every load is in proportion to the tempo, so limits are worked out once and hold at any tempo; feel and
later tempo marks keep their proportions.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from solowright.music.chart import Place
from solowright.music.tune import Tune
from solowright.neck.fingering import Path, Placed, finger
from solowright.neck.hardest import find_peak
from solowright.neck.layout import lay_out
from solowright.neck.phrases import cut_phrases
from solowright.neck.player import Player

PERCENTS = (60, 70, 80, 90, 100, 110, 120)


@dataclass(frozen=True, slots=True)
class BarLimit:
    """One bar: the tempo at which its hardest move reaches load 1 (inf where nothing moves), and where
    that move lands."""

    bar: int
    limit_tempo: float
    place: Place | None


@dataclass(frozen=True, slots=True)
class PassageLimit:
    """A passage: its first and last note by index, where they stand, the tempo at which its hardest move
    reaches load 1 (inf where nothing moves), and where that move lands."""

    first: int
    last: int
    start: Place
    end: Place
    limit_tempo: float
    place: Place | None


@dataclass(frozen=True, slots=True)
class TempoRow:
    """One tempo: the limit of the fingering found for it, whether it can be played, and what differs
    from the fingering at show tempo, a line for each stretch of notes."""

    percent: int
    tempo: float
    limit_tempo: float
    playable: bool
    changes: tuple[str, ...]


def find_top_tempo(tune: Tune, player: Player | None = None, refinger: bool = False) -> float:
    """The fastest tempo at which some fingering can play the line; inf where nothing moves.

    Exact, and the same whatever tempo the tune is set to. Raises InputError as ``finger`` does.
    """
    events, lattice = lay_out(tune, player or Player(), refinger)
    if not events:
        return inf
    peak = find_peak(lattice)
    return tune.tempo.first / peak if peak else inf


def limit_by_bar(tune: Tune, path: Path) -> tuple[BarLimit, ...]:
    """The limit tempo of each bar that has notes, by the moves that land in it."""
    hardest: dict[int, tuple[float, Place | None]] = {}
    for placed in path.notes:
        place = tune.chart.place(placed.note.onset)
        load, _ = hardest.setdefault(place.bar, (0.0, None))
        if placed.load > load:
            hardest[place.bar] = placed.load, place
    tempo = tune.tempo.first
    return tuple(
        BarLimit(bar, tempo / load if load else inf, place) for bar, (load, place) in hardest.items()
    )


def limit_by_passage(
    tune: Tune, path: Path, passages: tuple[tuple[int, int], ...] | None = None
) -> tuple[PassageLimit, ...]:
    """The limit tempo of each passage, given as (first, last) index of its notes; of each phrase, as the
    line breathes, for None. The move from one passage into the next counts for the next."""
    found = []
    for first, last in cut_phrases(tune) if passages is None else passages:
        notes = path.notes[first : last + 1]
        hardest = max(notes, key=lambda placed: placed.load)
        load = hardest.load
        start, end = (tune.chart.place(placed.note.onset) for placed in (notes[0], notes[-1]))
        place = tune.chart.place(hardest.note.onset) if load else None
        limit = tune.tempo.first / load if load else inf
        found.append(PassageLimit(first, last, start, end, limit, place))
    return tuple(found)


def tempo_table(
    tune: Tune, player: Player | None = None, percents: tuple[int, ...] = PERCENTS, refinger: bool = False
) -> tuple[TempoRow, ...]:
    """The fingering worked out afresh at shares of the show tempo."""
    show = finger(tune, player, refinger=refinger)
    rows = []
    for percent in percents:
        tempo = tune.tempo.first * percent / 100
        found = finger(tune.at_tempo(tempo), player, refinger=refinger)
        changes = describe_changes(tune, show.paths[0], found.paths[0])
        rows.append(TempoRow(percent, tempo, found.limit_tempo, found.limit_tempo >= tempo, changes))
    return tuple(rows)


def describe_changes(tune: Tune, before: Path, after: Path) -> tuple[str, ...]:
    """What one fingering of a line does otherwise than another: a line for each stretch of notes."""
    lines: list[str] = []
    stretch: list[tuple[Placed, Placed]] = []
    for pair in zip(before.notes, after.notes, strict=True):
        if _differ(*pair):
            stretch.append(pair)
        elif stretch:
            lines.append(_describe_stretch(tune, stretch))
            stretch = []
    if stretch:
        lines.append(_describe_stretch(tune, stretch))
    return tuple(lines)


def _differ(one: Placed, other: Placed) -> bool:
    return (one.string, one.finger, one.entry) != (other.string, other.finger, other.entry)


def _describe_stretch(tune: Tune, stretch: list[tuple[Placed, Placed]]) -> str:
    start, end = (tune.chart.place(stretch[index][1].note.onset) for index in (0, -1))
    where = f"{start}" if start == end else f"{start} to {end}"
    told = []
    if any(old.string != new.string for old, new in stretch):
        told.append("strings " + " ".join(f"{new.string}/{new.fret}" for _, new in stretch))
    elif any(old.finger != new.finger for old, new in stretch):
        told.append("fingers " + " ".join(str(new.finger) for _, new in stretch))
    if any(old.entry != new.entry for old, new in stretch):
        told.append("entries " + " ".join(new.entry for _, new in stretch))
    return f"{where}: {', '.join(told)}"
