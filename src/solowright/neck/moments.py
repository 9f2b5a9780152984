"""From the written line to what the search needs: what is struck together, when, and how.

Seconds are played time: feel and tempo map applied. Grace notes take their time from what comes
before, in proportion to the tempo, so that every load scales with it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise

from solowright.errors import InputError
from solowright.music.line import Entry, Note
from solowright.music.time import Time
from solowright.music.tune import Tune
from solowright.neck.fretboard import HIGHEST_FRET, Fretboard
from solowright.neck.hands import Hands, Kind, Want, find_hands, find_spots
from solowright.neck.player import Player
from solowright.neck.refusals import refuse_hold
from solowright.neck.ringing import add_grips, find_ringing
from solowright.neck.steps import Moment

GRACE_SHARE = 0.125  # of a quarter at the tempo of the moment, for each grace note (assumed)
GRACE_MOST = 0.5  # of the time since the note before, for all of them together (assumed)
LEAST_GAP = 1 / 64  # of a quarter between moments: a swung eighth may meet a straight triplet
SAME = 1e-6  # quarters that are no difference
TRILL_LEAST = {1: 4, 2: 4, 3: 6}  # notes of a trill that is written out, by semitones (assumed)
TRILL_SLOWEST = 0.13  # seconds from one of its notes to the next (assumed)
SLUR_KINDS: tuple[Entry, ...] = ("hammer", "pull", "slide")


@dataclass(frozen=True, slots=True)
class Event:
    """Notes struck together. ``entries`` holds what the input fixed, note by note, None where free."""

    notes: tuple[Note, ...]
    wants: tuple[Want, ...]
    entries: tuple[Entry | None, ...]
    locked: tuple[bool, ...]
    second: float
    on_beat: bool

    @property
    def entry(self) -> Entry | None:
        """The way in that all notes share by the input; ``pick`` where some are struck; None if free."""
        if len(self.entries) == 1:
            return self.entries[0]
        fixed = set(self.entries)
        if len(fixed) == 1:
            return self.entries[0]
        return "pick" if fixed != {None} else None


def find_events(tune: Tune, refinger: bool = False) -> tuple[Event, ...]:
    """What is struck together, in order, with the locks of the input and the second it is played."""
    groups = tuple(tune.line.events())
    rows = zip(groups, _seconds(tune, groups), _beats(tune, groups), strict=True)
    events = tuple([_make_event(group, second, on_beat, refinger) for group, second, on_beat in rows])
    if not any(event.entry == "slide" for event in events):
        return events
    board = Fretboard(tune.tuning, tune.capo, HIGHEST_FRET)
    return (events[0], *(_mend_slide(event, before, board) for before, event in pairwise(events)))


@lru_cache(8)  # view and hand path ask for the same one
def find_strikes(tune: Tune) -> tuple[tuple[tuple[Note, ...], float], ...]:
    """What is struck together, in order, each with the second it is played: as ``find_events`` has it."""
    groups = tuple(tune.line.events())
    return tuple(zip(groups, _seconds(tune, groups), strict=True))


def _mend_slide(event: Event, before: Event, board: Fretboard) -> Event:
    """No finger slides from or to an open string: where only that would be left of a slide between two
    notes, it is a hammer-on or a pull-off."""
    if event.entry != "slide" or len(event.notes) > 1 or len(before.notes) > 1:
        return event
    pairs = [
        (start.fret, goal.fret)
        for start in find_spots(before.wants[0], board)
        for goal in find_spots(event.wants[0], board)
        if start.string == goal.string and start.fret != goal.fret
    ]
    if not pairs or any(start and goal for start, goal in pairs):
        return event
    return replace(event, entries=("hammer" if pairs[0][0] == 0 else "pull",))


def _beats(tune: Tune, groups: tuple[tuple[Note, ...], ...]) -> Iterator[bool]:
    """Whether each moment falls on a beat, as the meter counts them."""
    chart, index = tune.chart, 0
    starts = [float(start) for start in chart.starts]
    bases = [float(start - chart.lead_in(index)) for index, start in enumerate(chart.starts)]
    pulses = [float(bar.meter.pulse) for bar in chart.bars]
    for group in groups:
        onset = float(group[0].onset)
        while index + 1 < len(pulses) and starts[index + 1] <= onset:
            index += 1
        pulse = (onset - bases[index]) / pulses[index]
        yield abs(pulse - round(pulse)) < SAME


def _seconds(tune: Tune, groups: tuple[tuple[Note, ...], ...]) -> list[float]:
    seconds: list[float] = []
    index, quarter, steady = 0, 60.0 / tune.tempo.first, len(tune.tempo.changes) == 1
    straight = steady and tune.feel.straight
    while index < len(groups):
        onset, last = groups[index][0].onset, index
        while groups[last][0].grace and last + 1 < len(groups) and groups[last + 1][0].onset == onset:
            last += 1
        arrival, graces = float(onset) * quarter if straight else tune.seconds(onset), last - index
        quarter = quarter if steady else 60.0 / tune.tempo.at(onset)
        each = GRACE_SHARE * quarter
        if seconds:
            arrival = max(arrival, seconds[-1] + LEAST_GAP * quarter)
            each = min(each, GRACE_MOST * (arrival - seconds[-1]) / max(1, graces))
        seconds += [arrival - each * (graces - step) for step in range(graces + 1)]
        index = last + 1
    return seconds


def _make_event(notes: tuple[Note, ...], second: float, on_beat: bool, refinger: bool) -> Event:
    kept = tuple(map(_drop_locks, notes)) if refinger else notes
    locked = (False,) * len(notes) if refinger else tuple(map(_is_locked, notes))
    return Event(
        notes, tuple(map(_make_want, kept)), tuple(map(_find_entry, kept)), locked, second, on_beat
    )


def _find_entry(note: Note) -> Entry | None:
    return note.entry or ("pick" if note.stroke else None)


def _is_locked(note: Note) -> bool:
    free = note.string is None and note.fret is None and note.finger is None and note.entry is None
    return not free


def _drop_locks(note: Note) -> Note:
    """Taps and harmonics are part of the sound and stay."""
    entry = note.entry if note.entry in ("tap", "harmonic") else None
    return replace(note, string=None, fret=None, finger=None, entry=entry)


def _make_want(note: Note) -> Want:
    kind: Kind = "plain"
    slides = bool(note.slide_from or note.slide_to)
    if note.dead:
        kind = "dead"
    elif note.entry == "tap" or note.entry == "harmonic":
        kind = note.entry
    return Want(
        note.pitch.midi, note.string, note.fret, note.finger, kind,
        bool(note.bends), note.vibrato or slides, note.trill,
        (-min(0, note.slide_from, note.slide_to), max(0, note.slide_from, note.slide_to)) if slides
        else (0, 0),
    )


def make_moments(
    tune: Tune, events: tuple[Event, ...], board: Fretboard, player: Player
) -> tuple[Moment, ...]:
    """Hands and ways in for every event. Raises InputError where no hand can hold one."""
    moments: list[Moment] = []
    kept: dict[tuple[Want, ...], Hands | None] = {}
    trills = _find_trills(events)
    runs = find_ringing([event.notes for event in events], [event.wants for event in events], board, player)
    ringing_runs = {index: run for run in runs for index in range(run.first, run.end)}
    for index, event in enumerate(events):
        if event.wants not in kept:
            kept[event.wants] = find_hands(event.wants, board, player)
        hands = kept[event.wants]
        if hands is None:
            place = tune.chart.place(event.notes[0].onset)
            raise InputError(f"{place}: {refuse_hold(event.wants, event.notes, board, player)}")
        if index in ringing_runs:
            run = ringing_runs[index]
            hands = add_grips(hands, run.wants, run.end - run.first, board, player)
        before = events[index - 1] if index else None
        pick, slurs = _ways_in(event, before, player, index in trills)
        if index in ringing_runs or index - 1 in ringing_runs:
            slurs = (None, None, None)  # a finger stays down on every string, none is free to slur
        ringing = before is not None and _rings_into(before.notes, event.notes[0].onset)
        moments.append(Moment(hands, event.second, pick, slurs, event.entry == "tap", ringing))
    return tuple(moments)


def _rings_into(notes: tuple[Note, ...], onset: Time) -> bool:
    """Whether one of the notes is meant to sound on when the next ones come."""
    start = float(onset) + SAME
    for note in notes:
        on = note.let_ring or float(note.onset) + float(note.duration) > start
        if on and not (note.grace or note.dead):
            return True
    return False


def _find_trills(events: tuple[Event, ...]) -> frozenset[int]:
    """Notes of trills that are written out, all but the first of each: two neighbouring pitches in turn,
    often enough and too fast to be meant picked."""
    found: set[int] = set()
    start = 0
    for index in range(1, len(events)):
        if events[index].second - events[index - 1].second > TRILL_SLOWEST:
            start = index
            continue
        if not _trills_on(events, index, start):
            start = index - 1 if _beats_with(events[index - 1], events[index]) else index
        wide = abs(events[index].notes[0].pitch.midi - events[index - 1].notes[0].pitch.midi)
        if index - start >= TRILL_LEAST.get(wide, len(events)) - 1:
            found |= set(range(start + 1, index + 1))
    return frozenset(found)


def _trills_on(events: tuple[Event, ...], index: int, start: int) -> bool:
    """Whether the note at ``index`` goes on with what began at ``start``."""
    if not _beats_with(events[index - 1], events[index]):
        return False
    return index < start + 2 or events[index].notes[0].pitch.midi == events[index - 2].notes[0].pitch.midi


def _beats_with(before: Event, event: Event) -> bool:
    """Whether two events that follow quickly enough may be notes of one trill."""
    if len(before.notes) > 1 or len(event.notes) > 1:
        return False
    one, other = before.notes[0], event.notes[0]
    if one.dead or other.dead or event.wants[0].kind != "plain" or one.grace:
        return False
    return abs(other.pitch.midi - one.pitch.midi) in TRILL_LEAST


def _ways_in(
    event: Event, before: Event | None, player: Player, trilled: bool
) -> tuple[float | None, tuple[float | None, float | None, float | None]]:
    """Effort on top of the move for striking, and for each kind of slur; None where locked out."""
    weigh, fixed = player.effort, event.entry
    if fixed in SLUR_KINDS:
        return None, _only(fixed)
    if fixed is not None:
        return 0.0, (None, None, None)
    if any(note.slurred for note in event.notes):
        return weigh.slur_dropped, (0.0, 0.0, 0.0)
    if before and before.notes[0].grace:
        return weigh.grace_struck, (0.0, 0.0, 0.0)
    if trilled:
        return weigh.trill_struck, (0.0, 0.0, 0.0)
    struck = event.on_beat or any(note.accent or note.staccato for note in event.notes)
    extra = weigh.slur_onto_beat if struck else 0.0
    return 0.0, (extra, extra, extra)


def _only(kind: Entry | None) -> tuple[float | None, float | None, float | None]:
    return (
        0.0 if kind == "hammer" else None,
        0.0 if kind == "pull" else None,
        0.0 if kind == "slide" else None,
    )
