"""What would ease the crux of a fingering, each with the limit tempo it gives, measured by search.

The fingering is kept as it is but for a few moments around the crux; there the change is made and the
hardest move is made as easy as it can be. A change is offered where it raises the limit tempo.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from solowright.errors import InputError
from solowright.music.line import Entry, Note, make_line
from solowright.music.tune import Tune
from solowright.neck.fingering import Path, Placed, finger
from solowright.neck.fretboard import Fretboard
from solowright.neck.player import Player
from solowright.neck.taste import player_for

AROUND = 4  # moments before and after the crux that a change may rearrange (assumed)
WORTH = 1.01  # a limit tempo has to rise by this factor
Kind = Literal["slur", "open", "position", "leave-out"]
_WAYS: dict[Entry, str] = {
    "pick": "picked", "hammer": "hammered on", "pull": "pulled off", "slide": "slid into", "tap": "tapped",
    "harmonic": "as a harmonic",
}


@dataclass(frozen=True, slots=True)
class Easing:
    """One change: what to do, in words; the limit tempo of the whole line with it; the line so changed,
    with what it needs fixed."""

    kind: Kind
    what: str
    limit_tempo: float
    tune: Tune


def find_easings(tune: Tune, path: Path, player: Player | None = None) -> tuple[Easing, ...]:
    """Changes at the crux of a path that raise its limit tempo, the best of each kind, best first.

    What ``tune`` fixes stays fixed.
    """
    player = player_for(tune, player)
    if path.crux is None:
        return ()
    moments = _moments(tune, path)
    at = next(index for index, moment in enumerate(moments)
              if max(placed.load for placed in moment) >= path.crux.load * (1 - 1e-9))
    best: dict[Kind, Easing] = {}
    for kind, what, changed in _changes(tune, moments, at):
        try:
            found = finger(changed, player, objective="hardest").paths[0]
        except InputError:
            continue
        if found.limit_tempo < path.limit_tempo * WORTH:
            continue
        if kind == "position":
            what = _describe_position(tune, path, found)
        if kind not in best or found.limit_tempo > best[kind].limit_tempo:
            best[kind] = Easing(kind, what, found.limit_tempo, changed)
    return tuple(sorted(best.values(), key=lambda easing: -easing.limit_tempo))


def _moments(tune: Tune, path: Path) -> list[list[Placed]]:
    """The placed notes by what is struck together, with the locks of the tune."""
    placed = iter(path.notes)
    return [[replace(next(placed), note=note) for note in event] for event in tune.line.events()]


def _changes(tune: Tune, moments: list[list[Placed]], at: int) -> Iterator[tuple[Kind, str, Tune]]:
    """Every change to try: its kind, its words, and the line with it."""
    board = Fretboard(tune.tuning, tune.capo)
    yield "position", "", _rearrange(tune, moments, at, {}, keep_places=False)
    here = moments[at]
    if len(here) == 1 and at and len(moments[at - 1]) == 1 and here[0].entry == "pick":
        before, note = moments[at - 1][0].note, here[0].note
        for entry in _slurs_between(before, note):
            fixed = replace(note, entry=entry, string=None, fret=None, finger=note.finger)
            what = f"slur into {note.pitch.name} ({entry}) instead of picking it"
            yield "slur", what, _rearrange(tune, moments, at, {id(note): fixed}, keep_places=False)
    for moment in moments[max(0, at - 1) : at + 1]:
        for placed in moment:
            note = placed.note
            if placed.fret and note.string is None and note.pitch.midi in board.open:
                string = board.open.index(note.pitch.midi) + 1
                fixed = replace(note, string=string, fret=0)
                what = f"take {note.pitch.name} as the open string {string}"
                yield "open", what, _rearrange(tune, moments, at, {id(note): fixed}, keep_places=False)
            if sum(map(len, moments)) > 1:
                what = f"leave out {note.pitch.name} at {tune.chart.place(note.onset)}"
                yield "leave-out", what, _rearrange(tune, moments, at, {id(note): None}, keep_places=True)


def _slurs_between(before: Note, note: Note) -> tuple[Entry, ...]:
    if note.entry or before.pitch.midi == note.pitch.midi:
        return ()
    return ("hammer", "slide") if note.pitch.midi > before.pitch.midi else ("pull", "slide")


def _rearrange(
    tune: Tune, moments: list[list[Placed]], at: int, changed: dict[int, Note | None], keep_places: bool
) -> Tune:
    """The line as fingered away from the crux; near it only what was fixed before, strings and frets
    too if ``keep_places``; and single notes changed, or left out (None)."""
    notes = []
    for index, moment in enumerate(moments):
        for placed in moment:
            note = changed.get(id(placed.note), placed.note)
            if note is None:
                continue
            if note is placed.note and abs(index - at) > AROUND:
                used = note.finger if placed.entry == "tap" or note.dead else placed.finger
                note = replace(note, string=placed.string, fret=placed.fret, finger=used, entry=placed.entry)
            elif note is placed.note and keep_places:
                note = replace(note, string=placed.string, fret=placed.fret)
            notes.append(note)
    return replace(tune, line=make_line(notes))


def _describe_position(tune: Tune, before: Path, after: Path) -> str:
    """Where the other fingering leaves the first, and how it goes there."""
    pairs = [(old, new) for old, new in zip(before.notes, after.notes, strict=True)
             if (old.string, old.fret) != (new.string, new.fret)]
    if not pairs:
        return _describe_hand(tune, before, after)
    first, last = pairs[0][1], pairs[-1][1]
    places = " ".join(f"{new.string}/{new.fret}" for _, new in pairs)
    start = tune.chart.place(first.note.onset)
    return f"play from {start} to {tune.chart.place(last.note.onset)} on other strings: {places}"


def _describe_hand(tune: Tune, before: Path, after: Path) -> str:
    """What the hand does otherwise in the same places: the fingers of the stretch, and other ways in."""
    places = [index for index, (old, new) in enumerate(zip(before.notes, after.notes, strict=True))
              if (old.finger, old.entry) != (new.finger, new.entry)]
    if not places:
        return _describe_rest(tune, before, after)
    first, last = places[0], places[-1]
    stretch = range(first, last + 1)
    told = []
    if any(before.notes[index].finger != after.notes[index].finger for index in places):
        numbers = " ".join(str(after.notes[index].finger) for index in stretch)
        told.append(f"{'finger' if first == last else 'fingers'} {numbers}")
    told += [f"{after.notes[index].note.pitch.name} {_WAYS[after.notes[index].entry]}" for index in places
             if before.notes[index].entry != after.notes[index].entry]
    start, end = (tune.chart.place(after.notes[index].note.onset) for index in (first, last))
    where = f"{start}" if first == last else f"{start} to {end}"
    return f"{where}: {', '.join(told)}"


def _describe_rest(tune: Tune, before: Path, after: Path) -> str:
    """Where the index finger waits elsewhere, with every note under the same finger."""
    pairs = zip(before.notes, after.notes, strict=True)
    new = next((new for old, new in pairs if old.position != new.position), after.notes[0])
    return f"{tune.chart.place(new.note.onset)}: the index finger waits at fret {new.position}"
