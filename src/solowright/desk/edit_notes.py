"""Edits of how notes are played: their place on the neck, finger, entry, and what is fixed of these.

Each takes the state, what the edit says, and the tune as it is fingered now. What the player sets here
stands in the note and is kept; the rest is found again around it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from solowright.desk.edit_facts import Edit, read_int, read_note, read_notes
from solowright.desk.state import State
from solowright.errors import InputError
from solowright.music.line import ENTRIES, Line, Note
from solowright.music.tune import Tune
from solowright.neck.fretboard import Fretboard
from solowright.neck.layout import LONG_NECK

SLURS = ("hammer", "pull", "slide")
# What can be fixed of a note or freed: its fields.
FIXED: Mapping[str, tuple[str, ...]] = {
    "place": ("string", "fret"),
    "finger": ("finger",),
    "entry": ("entry",),
}


def place(state: State, edit: Edit, fingered: Tune) -> State:
    """``note`` on ``string`` at ``fret``, with ``finger`` where given. Slurs that can't go there with
    it are freed, its own and the one into the next note."""
    tune = state.tune
    index = read_note(edit, tune)
    string = read_int(edit, "string", 1, len(tune.tuning))
    fret = read_int(edit, "fret", 0, LONG_NECK - tune.capo)
    note = tune.line.notes[index]
    _check_place(tune, note, string, fret)
    finger = read_int(edit, "finger", 0, 4) if edit.get("finger") is not None else None
    changes: dict[int, dict[str, Any]] = {index: {"string": string, "fret": fret, "finger": finger}}
    if string != fingered.line.notes[index].string:
        if note.entry in SLURS:
            changes[index]["entry"] = None
        for after in _next_event(tune, index):
            if tune.line.notes[after].entry in SLURS:
                changes[after] = {"entry": None}
    return _changed(state, changes)


def _check_place(tune: Tune, note: Note, string: int, fret: int) -> None:
    board = Fretboard(tune.tuning, tune.capo, LONG_NECK)
    if note.entry == "harmonic":
        possible = [(spot.string, spot.fret) for spot in board.harmonic_spots(note.pitch.midi)]
        if (string, fret) not in possible:
            raise InputError(f"string {string} fret {fret} has no harmonic that sounds {note.pitch.name}")
    elif not note.dead and board.open[string - 1] + fret != note.pitch.midi:
        places = ", ".join(f"string {s.string} fret {s.fret}" for s in board.spots(note.pitch.midi))
        raise InputError(f"{note.pitch.name} isn't at string {string} fret {fret}; it is at {places}")


def _next_event(tune: Tune, index: int) -> list[int]:
    """The notes struck just after a note, by index."""
    events, at = [], 0
    for event in tune.line.events():
        events.append(range(at, at + len(event)))
        at += len(event)
    here = next(number for number, event in enumerate(events) if index in event)
    return list(events[here + 1]) if here + 1 < len(events) else []


def lock(state: State, edit: Edit, fingered: Tune) -> State:
    """Fixes ``what`` (place, finger, entry; all by default) of notes as they are fingered now."""
    fields = _read_what(edit)
    return _changed(
        state,
        {
            index: {name: getattr(fingered.line.notes[index], name) for name in fields}
            for index in read_notes(edit, state.tune)
        },
    )


def free(state: State, edit: Edit, fingered: Tune) -> State:
    """Lets ``what`` of notes be found again. Taps and harmonics stay: they are part of the sound."""
    fields = _read_what(edit)
    changes = {}
    for index in read_notes(edit, state.tune):
        kept = ("entry",) if state.tune.line.notes[index].entry in ("tap", "harmonic") else ()
        changes[index] = {name: None for name in fields if name not in kept}
    return _changed(state, changes)


def _read_what(edit: Edit) -> tuple[str, ...]:
    what = edit.get("what", list(FIXED))
    if not isinstance(what, list) or not what or any(name not in FIXED for name in what):
        raise InputError(f"'what' must be a list of {', '.join(FIXED)}")
    return tuple(field for name in what for field in FIXED[name])


def finger(state: State, edit: Edit, fingered: Tune) -> State:
    """``finger`` 0 (open) to 4 for ``note``; null frees it."""
    index = read_note(edit, state.tune)
    chosen = None if edit.get("finger") is None else read_int(edit, "finger", 0, 4)
    return _changed(state, {index: {"finger": chosen}})


def entry(state: State, edit: Edit, fingered: Tune) -> State:
    """How notes are begun: ``pick``, ``hammer``, ``pull``, ``slide``, ``tap``; null frees it."""
    chosen = edit.get("entry")
    if chosen is not None and chosen not in ENTRIES:
        raise InputError(f"a note is begun by {', '.join(ENTRIES[:-1])}; choose one of these")
    changes: dict[int, dict[str, Any]] = {}
    for index in read_notes(edit, state.tune):
        note = state.tune.line.notes[index]
        if "harmonic" in (chosen, note.entry) and chosen != note.entry:
            raise InputError("a harmonic sounds another pitch; retype the bar to make one or to drop it")
        changes[index] = {"entry": chosen, "slurred": note.slurred and chosen in (None, *SLURS)}
    return _changed(state, changes)


def fingering(state: State, edit: Edit, fingered: Tune) -> State:
    """A fingering as it was offered: ``notes`` holds note, string, fret, finger and entry of each."""
    rows = edit.get("notes")
    if not isinstance(rows, list) or not rows:
        raise InputError("'notes' must list the notes of the fingering")
    changes: dict[int, dict[str, Any]] = {}
    for row in rows:
        if not isinstance(row, dict):
            raise InputError("each of 'notes' must hold note, string, fret, finger and entry")
        index = read_note(row, state.tune)
        note = state.tune.line.notes[index]
        string = read_int(row, "string", 1, len(state.tune.tuning))
        fret = read_int(row, "fret", 0, LONG_NECK)
        _check_place(state.tune, note, string, fret)
        begun = row.get("entry")
        if begun not in ENTRIES or (begun == "harmonic") != (note.entry == "harmonic"):
            raise InputError(f"'{begun}' is no way to begin this note")
        used = None if note.dead or begun == "tap" else read_int(row, "finger", 0, 4)
        changes[index] = {"string": string, "fret": fret, "finger": used, "entry": begun}
    return _changed(state, changes)


def _changed(state: State, changes: Mapping[int, Mapping[str, Any]]) -> State:
    """The state with fields of notes set, by the notes' indices."""
    notes = list(state.tune.line.notes)
    for index, fields in changes.items():
        notes[index] = replace(notes[index], **fields)
    return replace(state, tune=replace(state.tune, line=Line(tuple(notes))))


NOTE_EDITS: Mapping[str, Callable[[State, Edit, Tune], State]] = {
    "place": place,
    "lock": lock,
    "free": free,
    "finger": finger,
    "entry": entry,
    "fingering": fingering,
}
