"""A line made easier within bounds: sound traded for ease, note by note, each change told and measured.

Where the line can't be played at the tempo, the first move that no fingering reaches is found exactly;
of the changes around it the one that costs the ear least and gets past it is made; and so on. Changes
that turn out not to be needed are taken back. The search for changes is greedy, the limits are exact.
The neck knows no harmony: which notes carry the music (targets, say) is for the caller to give.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf

import numpy as np
from numpy.typing import NDArray

from solowright.music.chart import Place
from solowright.music.line import Entry, Line
from solowright.music.tune import Tune
from solowright.neck.edits import Edit, Kind, apply_edits, find_edits, find_kept
from solowright.neck.fingering import Fingering, Placed, finger
from solowright.neck.hands import find_hands
from solowright.neck.hardest import find_peaks
from solowright.neck.layout import lay_out, make_board
from solowright.neck.moments import find_events
from solowright.neck.phrases import group_moments
from solowright.neck.player import Player
from solowright.neck.taste import player_for

Values = NDArray[np.float64]
BACK = 2  # moments before the one that fails where a change may help, too (assumed)
BEFORE, AFTER = 9, 6  # moments around it by which changes are judged (assumed)
KNOWN = 3  # of them, whose times count but that are not searched again
WORTH = 0.01  # a peak of load has to fall by this share where a change alone doesn't get past it
AGAIN = 2.0  # loss on top where the line fails again soon after (assumed)
SHARE = 4  # by default one note in so many may change
ROUNDING = 1e-9
WAYS: dict[Entry, str] = {
    "pick": "picked", "hammer": "hammered on", "pull": "pulled off", "slide": "slid into", "tap": "tapped",
    "harmonic": "as a harmonic",
}


@dataclass(frozen=True, slots=True)
class Bounds:
    """What may be traded: ``most`` notes changed (None: one in four), only changes of ``kinds``."""

    most: int | None = None
    kinds: frozenset[Kind] = frozenset(
        ("elsewhere", "slur", "plain", "hold", "thin", "tap", "leave-out", "octave")
    )


@dataclass(frozen=True, slots=True)
class Change:
    """One change that was made: the notes it touches, by their index in the line as it was; where; in
    words; and the fastest tempo at which the line can be played with it and those before it."""

    kind: Kind
    notes: tuple[int, ...]
    place: Place
    what: str
    limit_tempo: float


@dataclass(frozen=True, slots=True)
class Easier:
    """The easier line, at the tempo asked, and its fingering there.

    ``top_tempo`` is the fastest at which any fingering can play it, ``top_before`` the same of the line
    as it was (0 where no hand can hold something in it). ``reached``: whether the tempo asked can be
    played. ``changes``: the hardest spots first. ``origin``: for each note of the new line its index in
    the old one. ``sentence`` says it all in one.
    """

    tune: Tune
    fingering: Fingering
    top_tempo: float
    top_before: float
    reached: bool
    changes: tuple[Change, ...]
    origin: tuple[int, ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class _Start:
    """Where to begin in a later part of a line: the moment, and the lowest peaks up to it."""

    moment: int
    reach: Values


@dataclass(frozen=True, slots=True)
class _Terms:
    """What is fixed for a whole run: whose hand, which notes stay, how many may change, and how."""

    player: Player
    kept: frozenset[int]
    most: int
    kinds: frozenset[Kind]


def easier(
    tune: Tune,
    player: Player | None = None,
    tempo: float | None = None,
    keep: frozenset[int] = frozenset(),
    bounds: Bounds | None = None,
) -> Easier:
    """The line changed as little as helps until it can be played at ``tempo`` (None: the tune's own).

    Notes whose index is in ``keep``, the ends of phrases and notes on hits of the band stay what they
    are; only a note after them that is left out may make them longer. Where the bounds don't let the
    tempo be reached, what is still needed for the tempo they do reach is changed. Raises InputError
    where no hand can hold the line even so.
    """
    player, bounds = player_for(tune, player), bounds or Bounds()
    kinds = bounds.kinds if player.taps else bounds.kinds - {"tap"}
    asked = tune.at_tempo(tempo or tune.tempo.first)
    goal = asked.tempo.first
    most = max(1, len(tune.line.notes) // SHARE) if bounds.most is None else bounds.most
    terms = _Terms(player, keep | find_kept(tune), most, kinds)
    edits = _find_changes(asked, terms, goal)
    top = _find_top(asked, edits, player)
    if 0 < top < goal * (1 - ROUNDING):
        edits = _find_changes(asked, terms, top)
    edits = _drop_needless(asked, player, min(goal, _find_top(asked, edits, player)), edits)
    return _tell(asked, player, goal, edits)


def _find_peaks(tune: Tune, player: Player, start: _Start | None = None) -> tuple[Values, ...]:
    """For each moment the lowest load that the hardest move up to each way of holding it can have, at the
    tune's tempo; without the moments from the first on that no hand can hold. ``start``: what is known
    of a line of which this is a later part; then only from the moment it names on."""
    events = find_events(tune)
    board = make_board(tune, events, player)
    held = (find_hands(event.wants, board, player) is not None for event in events)
    count = next((index for index, fits in enumerate(held) if not fits), len(events))
    if count <= (start.moment if start else 0):
        return ()
    within = sum(len(event.notes) for event in events[:count])
    _, lattice = lay_out(replace(tune, line=Line(tune.line.notes[:within])), player, refinger=False)
    return find_peaks(lattice, start.moment, start.reach) if start else find_peaks(lattice)


def _find_top(tune: Tune, edits: tuple[Edit, ...], player: Player) -> float:
    """The fastest tempo that some fingering of the changed line reaches; 0 where no hand can hold it."""
    changed, _ = apply_edits(tune, edits)
    peaks = _find_peaks(changed, player)
    if len(peaks) < len(group_moments(changed)):
        return 0.0
    hardest = float(peaks[-1].min()) if peaks else 0.0
    return tune.tempo.first / hardest if hardest else inf


def _find_changes(tune: Tune, terms: _Terms, goal: float) -> tuple[Edit, ...]:
    """Changes made one after the other until the goal is reached, or the tempo of the spot where the
    bounds leave nothing to change."""
    edits: tuple[Edit, ...] = ()
    while True:
        changed, origin = apply_edits(tune, edits)
        peaks = _find_peaks(changed, terms.player)
        loads = [float(each.min()) for each in peaks] + [inf] * (len(group_moments(changed)) - len(peaks))
        most = tune.tempo.first / goal * (1 + ROUNDING)
        at = next((index for index, load in enumerate(loads) if load > most), None)
        if at is None:
            return edits
        touched = {index for edit in edits for index, _ in edit.notes}
        kept = frozenset(new for new, old in enumerate(origin) if old in terms.kept | touched)
        left = replace(terms, kept=kept, most=terms.most - len(touched))
        edit = _choose(changed, at, left, (most, loads[at]), peaks)
        if edit is not None:
            notes = tuple((origin[index], note) for index, note in edit.notes)
            edits = (*edits, Edit(edit.kind, origin[edit.about], edit.loss, notes))
        elif loads[at] == inf:
            return edits
        else:
            goal = tune.tempo.first / loads[at]


def _choose(
    tune: Tune, at: int, terms: _Terms, loads: tuple[float, float], peaks: tuple[Values, ...]
) -> Edit | None:
    """The change around the moment at which the line fails that costs the ear least and gets past it;
    failing that, the one that makes it fail least; None where none helps. ``loads``: what may be, and
    what is."""
    most, worst = loads
    moments = group_moments(tune)
    window, start, first = _cut_out(tune, moments, at, peaks)
    best: tuple[float, float, Edit] | None = None
    for index in range(at, max(-1, at - BACK - 1), -1):
        for edit in find_edits(tune, moments, index, terms.kinds, terms.kept):
            if len(edit.notes) > terms.most:
                continue
            within = tuple((each - first, note) for each, note in edit.notes)
            tried, origin = apply_edits(window, (replace(edit, notes=within),))
            load, later = _loads(tried, terms.player, start, _first_from(origin, moments[at][0] - first))
            thinner = edit.kind == "thin" and index == at and load == worst == inf  # one note may not do
            if load > most and load >= worst * (1 - WORTH) and not thinner:
                continue
            loss = edit.loss + AGAIN * (later > most)
            rank = (loss, later) if load <= most else (inf, load)
            if best is None or rank < best[:2]:
                best = (*rank, edit)
    return best[2] if best else None


def _cut_out(
    tune: Tune, moments: tuple[tuple[int, ...], ...], at: int, peaks: tuple[Values, ...]
) -> tuple[Tune, _Start | None, int]:
    """The moments around one; what is known of the line before; the first of their notes."""
    begin = at - BEFORE
    start = _Start(KNOWN, peaks[begin + KNOWN]) if begin > 0 else None
    first, last = moments[max(0, begin)][0], moments[min(len(moments) - 1, at + AFTER)][-1]
    return replace(tune, line=Line(tune.line.notes[first : last + 1])), start, first


def _first_from(origin: tuple[int, ...], index: int) -> int:
    """The note that was at an index, or the next that is left; the last one failing that."""
    return next((new for new, old in enumerate(origin) if old >= index), len(origin) - 1)


def _loads(tune: Tune, player: Player, start: _Start | None, note: int) -> tuple[float, float]:
    """The least load that the hardest move up to a note must have, and the same of the whole line."""
    moments = group_moments(tune)
    if not moments:
        return 0.0, 0.0
    skipped = start.moment if start else 0
    loads = [float(each.min()) for each in _find_peaks(tune, player, start)]
    loads += [inf] * (len(moments) - skipped - len(loads))
    at = next(n for n, indices in enumerate(moments) if note in indices)
    return loads[at - skipped], loads[-1]


def _drop_needless(tune: Tune, player: Player, goal: float, edits: tuple[Edit, ...]) -> tuple[Edit, ...]:
    """The edits without those that the goal can do without, the dearest to the ear tried first."""
    for edit in sorted(edits, key=lambda each: -each.loss):
        rest = tuple(each for each in edits if each is not edit)
        if _find_top(tune, rest, player) >= goal * (1 - ROUNDING):
            edits = rest
    return edits


def _by_need(tune: Tune, player: Player, edits: tuple[Edit, ...]) -> list[Edit]:
    """The edits by how much the line needs them: first the one without which it would be slowest."""
    tops = {edit: _find_top(tune, tuple(e for e in edits if e is not edit), player) for edit in edits}
    return sorted(edits, key=lambda edit: (tops[edit], edit.about))


def _tell(tune: Tune, player: Player, goal: float, edits: tuple[Edit, ...]) -> Easier:
    before = _find_top(tune, (), player)
    changed, origin = apply_edits(tune, edits)
    fingering = finger(changed, player)
    now = dict(zip(origin, fingering.paths[0].notes, strict=True))
    changes: list[Change] = []
    made: tuple[Edit, ...] = ()
    for edit in _by_need(tune, player, edits):
        made = (*made, edit)
        top = _find_top(tune, made, player)
        place = tune.chart.place(tune.line.notes[edit.about].onset)
        words = f"{place}: {_say(tune, edit, now.get(edit.about))}"
        changes.append(Change(edit.kind, tuple(index for index, _ in edit.notes), place, words, top))
    top = changes[-1].limit_tempo if changes else before
    reached = top >= goal * (1 - ROUNDING)
    sentence = _sum_up(tune, goal, top, before, changes)
    return Easier(changed, fingering, top, before, reached, tuple(changes), origin, sentence)


def _say(tune: Tune, edit: Edit, placed: Placed | None) -> str:
    name = tune.line.notes[edit.about].pitch.name
    graces = [index for index, _ in edit.notes if tune.line.notes[index].grace]
    where = f"on string {placed.string} fret {placed.fret}" if placed else ""
    entry = placed.entry if placed else "pick"
    said: dict[Kind, str] = {
        "elsewhere": f"play {name} {where}, {WAYS[entry]}",
        "slur": f"{name} {WAYS[entry]} instead of struck as written",
        "plain": f"leave out the grace note{'s' if len(graces) > 1 else ''}" if graces
        else f"{name} without the trill",
        "hold": f"hold {name} instead of striking it again",
        "thin": f"the chord without {name}",
        "tap": f"tap {name} {where} with the picking hand and pull off to the next note",
        "leave-out": f"leave out {name}",
        "octave": f"play {placed.note.pitch.name if placed else name} in place of {name}",
    }
    return said[edit.kind]


def _sum_up(tune: Tune, goal: float, top: float, before: float, changes: list[Change]) -> str:
    touched = sum(len(change.notes) for change in changes)
    was = f"as written no fingering passes {before:.0f}" if before else "as written no hand can hold it"
    if not changes:
        if top >= goal * (1 - ROUNDING):
            return f"Playable at {goal:g} as it is; nothing has to change."
        return f"Nothing within the bounds makes this line playable at {goal:g}; {was}."
    counted = f"{touched} of {len(tune.line.notes)} notes changed"
    if top >= goal * (1 - ROUNDING):
        return f"Playable at {goal:g} with {counted}; {was}."
    return f"With {counted} playable up to {top:.0f}, not at {goal:g}, within the bounds; {was}."
