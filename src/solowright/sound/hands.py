"""What the hands do on each string, and on which sample: the line made ready for the voice.

One note a string at a time, as the fingering says; a note without a place gets the nearest one to
the place before (the voice only needs a string that is free: pitch is taken from the note itself).
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace

from solowright.errors import InputError
from solowright.music.line import Entry, Note
from solowright.music.tune import Tune
from solowright.sound.excerpt import Excerpt
from solowright.sound.string import SAMPLE_RATE

GRACE = round(0.055 * SAMPLE_RATE)  # length of a grace note, before the beat; common practice, no source
STILL_RINGING = round(0.03 * SAMPLE_RATE)  # a gap up to this long doesn't break a slur
LET_RING = 6 * SAMPLE_RATE
TOP_FRET = 24


@dataclass(frozen=True, slots=True)
class Action:
    """One note on its string: samples ``start`` to ``stop``, and how it is really begun.

    ``entry`` is what can be done there: a pull-off or a slide needs a string that sounds.
    ``after`` is the note that still sounds on the string, None where it is silent.
    """

    note: Note
    string: int
    fret: int
    start: int
    stop: int
    entry: Entry
    after: Note | None = None


def place_hands(excerpt: Excerpt) -> dict[int, tuple[Action, ...]]:
    """Actions by string (1 is the highest), in time order, for the notes that begin in the excerpt.

    Raises InputError where more notes sound together than there are strings.
    """
    strings: dict[int, list[Action]] = defaultdict(list)
    hand = 5
    for start, notes in _timed_events(excerpt):
        places = _places(excerpt.tune, notes, hand)
        for note, (string, fret) in zip(notes, places, strict=True):
            strings[string].append(Action(note, string, fret, start, _stop(excerpt, note, start), "pick"))
        hand = min((fret for _, fret in places if fret > 0), default=hand)
    return {string: _one_at_a_time(actions) for string, actions in sorted(strings.items())}


def _timed_events(excerpt: Excerpt) -> list[tuple[int, tuple[Note, ...]]]:
    """(sample, notes struck then). Graces come before the beat, in at most half the time there is."""
    found: list[tuple[int, tuple[Note, ...]]] = []
    graces: list[tuple[Note, ...]] = []
    before = 0
    for notes in excerpt.tune.line.events():
        if not excerpt.holds(notes[0].onset):
            continue
        if notes[0].grace:
            graces.append(notes)
            continue
        start = excerpt.sample(notes[0].onset)
        length = min(GRACE, (start - before) // (2 * max(1, len(graces))))
        if graces and not length:  # nothing before the first beat: the graces fall on it
            length = GRACE
            start += length * len(graces)
        found += [(start - length * (len(graces) - n), grace) for n, grace in enumerate(graces)]
        found.append((start, notes))
        graces, before = [], start
    return found


def _stop(excerpt: Excerpt, note: Note, start: int) -> int:
    if note.grace:
        return start + GRACE
    stop = excerpt.sample(note.end)
    if note.let_ring:
        return max(stop, start + LET_RING)
    return start + (stop - start) // 2 if note.staccato else max(stop, start + 1)


def _places(tune: Tune, notes: tuple[Note, ...], hand: int) -> list[tuple[int, int]]:
    """(string, fret) of notes struck together: written ones stand, the others go near the hand, and so
    does one written on a string that is taken."""
    free = set(range(1, len(tune.tuning) + 1)) - {note.string for note in notes}
    if len(notes) > len(tune.tuning):
        where = tune.chart.place(notes[0].onset)
        raise InputError(f"{where}: {len(notes)} notes together on {len(tune.tuning)} strings; drop some")
    places: list[tuple[int, int]] = []
    for note in notes:
        string = note.string
        if string is None or string in (taken for taken, _ in places):
            string = min(free, key=lambda s: _awkwardness(_fret(tune, note, s), hand))
            free.discard(string)
        places.append((string, _fret(tune, note, string)))
    return places


def _fret(tune: Tune, note: Note, string: int) -> int:
    if note.string == string and note.fret is not None:
        return note.fret
    return note.pitch.midi - tune.tuning[string - 1] - tune.capo


def _awkwardness(fret: int, hand: int) -> int:
    return abs(fret - hand) + (100 + abs(fret) if not 0 <= fret <= TOP_FRET else 0)


def _one_at_a_time(actions: list[Action]) -> tuple[Action, ...]:
    """Cuts every note off where the next on its string begins, and settles how each is begun.

    A slur holds the string from the note before, over the smallest of gaps too.
    """
    found: list[Action] = []
    for action in sorted(actions, key=lambda action: action.start):
        before = None
        if found:
            last = found[-1]
            if action.start - last.stop <= STILL_RINGING and not last.note.dead:
                before = last.note
            entry = _entry(action.note, before)
            slurs = before and entry in ("hammer", "pull", "slide", "tap")
            found[-1] = replace(last, stop=action.start if slurs else min(last.stop, action.start))
        found.append(replace(action, entry=_entry(action.note, before), after=before))
    return tuple(found)


def _entry(note: Note, before: Note | None) -> Entry:
    if note.entry in ("tap", "harmonic", "pick"):
        return note.entry
    if note.entry == "hammer":
        return "hammer"  # from nowhere too: the finger's blow alone sounds it
    if before is None:
        return "pick"
    if note.entry:
        return note.entry
    if note.slurred and note.pitch.midi != before.pitch.midi:
        return "hammer" if note.pitch.midi > before.pitch.midi else "pull"
    return "pick"
