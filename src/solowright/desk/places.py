"""The player's choices on the neck: a note's other places, and other fingerings of some bars.

Each choice is worked out in a window: what lies a few moments outside stays where it is, so an answer
comes while the finger is still on the note. What a choice does to the whole tune is told by the loads
inside the window and those that stay outside.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import groupby
from math import inf, isfinite

from solowright.desk.edit_facts import Edit, read_bars, read_note
from solowright.desk.edit_notes import SLURS
from solowright.desk.edit_notes import place as place_note
from solowright.desk.state import Json, State
from solowright.desk.worked import find_fingering, work_out
from solowright.errors import InputError
from solowright.music.line import Line, Note
from solowright.music.tune import Tune
from solowright.neck.fingering import Path, Placed, finger
from solowright.neck.fretboard import Fretboard, Spot
from solowright.neck.taste import player_for

AROUND = 8  # moments that may change on either side of a note
HELD = 2  # moments outside them that are kept as they are
MOST_WAYS = 5  # fingerings of some bars that are offered
MOST_NOTES = 400  # in the bars whose fingerings are compared


@dataclass(frozen=True, slots=True)
class _Window:
    """Notes ``first`` up to ``stop`` of a tune that may change, between ``low`` and ``high`` that are
    looked at; ``tune`` holds just these, the outer ones fixed."""

    tune: Tune
    low: int
    first: int
    stop: int
    high: int


def note_places(state: State, edit: Edit) -> list[Json]:
    """The places of ``note``, that where it is first, then by the limit tempo of the tune with each and
    the effort around it.

    Places that can't be played as the rest is fixed are left out. Raises InputError for no such note.
    """
    worked = work_out(state)
    index = read_note(edit, state.tune)
    now = worked.fingering.paths[0].notes
    found: list[tuple[Spot, _Window, Path]] = []
    for spot in _spots(state, index):
        wish = {"note": index, "string": spot.string, "fret": spot.fret}
        try:
            placed = place_note(state, wish, worked.tune)
            window = _window(placed.tune, worked.tune, index, index)
            found.append((spot, window, finger(window.tune, state.player).paths[0]))
        except InputError:
            continue
    at = Spot(now[index].string, now[index].fret)
    effort = next((path.cost for spot, _, path in found if spot == at), 0.0)
    told = [_told_place(state.tune, now, window, path, index, spot, effort) for spot, window, path in found]
    return sorted(
        told, key=lambda place: (not place["here"], -(place["limit_tempo"] or inf), place["effort"])
    )


def _spots(state: State, index: int) -> tuple[Spot, ...]:
    tune, note = state.tune, state.tune.line.notes[index]
    board = Fretboard(tune.tuning, tune.capo, player_for(tune, state.player).frets)
    if note.entry == "harmonic":
        return board.harmonic_spots(note.pitch.midi)
    return board.spots(note.pitch.midi)


def _told_place(
    tune: Tune, now: tuple[Placed, ...], window: _Window, path: Path, index: int, spot: Spot, effort: float
) -> Json:
    here = (spot.string, spot.fret) == (now[index].string, now[index].fret)
    notes = now[window.low : window.high] if here else path.notes
    placed = notes[index - window.low]
    moved = sum(
        (old.string, old.fret) != (new.string, new.fret)
        for old, new in zip(now[window.low : window.high], notes, strict=True)
        if old is not now[index]
    )
    limit, limit_now = _limit(tune, now, window, notes), _limit(tune, now, window, None)
    after = notes[index - window.low : index - window.low + 2]
    more = path.cost - effort
    return {
        "string": spot.string,
        "fret": spot.fret,
        "finger": placed.finger,
        "load": round(max(one.load for one in after), 3),
        "limit_tempo": round(limit, 1) if isfinite(limit) else None,
        "effort": 0.0 if here else round(more, 2),
        "change": "here now" if here else _change_words(moved, limit, limit_now, more),
        "here": here,
    }


def _change_words(moved: int, limit: float, now: float, more: float) -> str:
    """``2 other notes move; more effort, +1.4; slower: up to 198, now 221``."""
    others = f"{moved} other notes move" if moved else "nothing else moves"
    if moved == 1:
        others = "1 other note moves"
    hand = next(words for least, words in _EFFORT if more >= least)
    if hand != _AS_NOW:
        hand = f"{hand}, {'+' if more > 0 else '−'}{abs(more):.1f}"
    if abs(limit - now) < 0.5 or limit == now:
        return f"{others}; {hand}; as fast as now"
    way = "faster" if limit > now else "slower"
    return f"{others}; {hand}; {way}: up to {_tempo(limit)}, now {_tempo(now)}"


# The least effort more than now, and what it is called; effort 1 is about one awkward fingering.
_AS_NOW = "as much effort as now"
_EFFORT = (
    (3.0, "much more effort"),
    (1.0, "more effort"),
    (0.25, "a little more effort"),
    (-0.25, _AS_NOW),
    (-1.0, "a little less effort"),
    (-inf, "less effort"),
)


def _tempo(limit: float) -> str:
    return f"{limit:.0f}" if isfinite(limit) else "any tempo"


def _limit(
    tune: Tune, now: tuple[Placed, ...], window: _Window, notes: tuple[Placed, ...] | None
) -> float:
    """The limit tempo of the tune with the notes of a window as they are in ``notes``."""
    low, high = window.low, window.high
    inside = now[low:high] if notes is None else notes
    loads = [placed.load for placed in (*now[:low], *inside, *now[high:])]
    hardest = max(loads, default=0.0)
    return tune.tempo.first / hardest if hardest else inf


def _window(tune: Tune, fingered: Tune, first: int, last: int) -> _Window:
    """The notes around some, as ``tune`` fixes them; the outermost fixed as they are fingered."""
    starts = _moments(tune)
    begin = max(n for n, start in enumerate(starts) if start <= first)
    end = max(n for n, start in enumerate(starts) if start <= last) + 1
    around = 0 if last > first else AROUND
    inner, outer = max(0, begin - around), min(len(starts), end + around)
    bounds = [*starts, len(tune.line.notes)]
    low, high = bounds[max(0, inner - HELD)], bounds[min(len(starts), outer + HELD)]
    start, stop = bounds[inner], bounds[outer]
    opened = bounds[max(0, inner - HELD) + 1] if len(starts) > 1 else high
    notes = [
        note if start <= n < stop else _fixed(note, fingered.line.notes[n])
        for n, note in enumerate(tune.line.notes[low:high], start=low)
    ]
    for n in range(opened - low):  # what they were slurred from lies outside
        if notes[n].entry in SLURS:
            notes[n] = replace(notes[n], entry=None)
        notes[n] = replace(notes[n], slurred=False)
    return _Window(replace(tune, line=Line(tuple(notes))), low, start, stop, high)


def _moments(tune: Tune) -> list[int]:
    """The first note of everything struck together."""
    starts, at = [], 0
    for event in tune.line.events():
        starts.append(at)
        at += len(event)
    return starts


def _fixed(note: Note, fingered: Note) -> Note:
    return replace(
        note,
        string=fingered.string,
        fret=fingered.fret,
        finger=fingered.finger,
        entry=fingered.entry,
    )


def bar_fingerings(state: State, edit: Edit) -> list[Json]:
    """Fingerings of the bars ``from`` to ``to``: the one there is, then the best others that differ by a
    real choice. What the player fixed is kept in all of them. Raises InputError for too many bars."""
    worked = work_out(state)
    chart = state.tune.chart
    first, last = read_bars(edit, chart)
    start, end = chart.starts[first], chart.starts[last + 1]
    inside = [n for n, note in enumerate(state.tune.line.notes) if start <= note.onset < end]
    if not inside:
        raise InputError("there are no notes in these bars; choose others")
    if len(inside) > MOST_NOTES:
        raise InputError(f"these bars hold {len(inside)} notes; choose fewer, {MOST_NOTES} at most")
    window = _window(state.tune, worked.tune, inside[0], inside[-1])
    now = find_fingering(state).paths[0].notes
    here = now[window.low : window.high]
    ways = [here, *(path.notes for path in finger(window.tune, state.player, best=MOST_WAYS).paths)]
    told: list[Json] = []
    seen = set()
    for notes in ways:
        mine = notes[inside[0] - window.low : inside[-1] + 1 - window.low]
        same = tuple((placed.string, placed.fret, placed.entry) for placed in mine)
        if same in seen:
            continue
        seen.add(same)
        limit = _limit(state.tune, now, window, notes)
        told.append(
            {
                "here": notes is here,
                "limit_tempo": round(limit, 1) if isfinite(limit) else None,
                "load": round(max(placed.load for placed in mine), 3),
                "change": _way_words(mine, now[inside[0] : inside[-1] + 1]),
                "notes": [
                    {
                        "note": inside[0] + n,
                        "string": placed.string,
                        "fret": placed.fret,
                        "finger": placed.finger,
                        "entry": placed.entry,
                        "load": round(placed.load, 3),
                    }
                    for n, placed in enumerate(mine)
                ],
            }
        )
    return told


def _way_words(notes: tuple[Placed, ...], now: tuple[Placed, ...]) -> str:
    """Where the hand is, and how much lies elsewhere than now: ``positions 5, 7, 5; 6 notes elsewhere``."""
    positions = [position for position, _ in groupby(p.position for p in notes if p.position)]
    moved = sum((a.string, a.fret) != (b.string, b.fret) for a, b in zip(notes, now, strict=True))
    where = "open strings only"
    if positions:
        shown = ", ".join(map(str, positions[:8])) + (" …" if len(positions) > 8 else "")
        where = f"position{'s' if len(positions) > 1 else ''} {shown}"
    elsewhere = f"{moved} note{'s' if moved > 1 else ''} elsewhere" if moved else "the same places"
    return f"{where}; {'here now' if notes is now else elsewhere}"
