"""What a player has decided about a tune: the tune as fixed by hand, and what no sheet can hold.

In ``State.tune`` a note's string, fret, finger and entry stand only where the player fixed them;
everything else is worked out again. The sheet that is saved is tablature as found, with strings, frets
and slurs, so that it can be read and used anywhere; ``write_state`` therefore tells beside it which of
that was the player's own. Times are quarters from the tune's start, as everywhere.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from typing import Any

from solowright.errors import InputError
from solowright.files.sheet import OpenLine, read_sheet, write_sheet
from solowright.music.line import Line, Note
from solowright.music.time import Time
from solowright.music.tune import Tune
from solowright.neck.player import Player

Json = dict[str, Any]
LONGEST_WORDS = 600  # letters of a sentence or remark


@dataclass(frozen=True, slots=True)
class Telling:
    """The player wants the other reading: not the device of ``kind`` from ``start`` to ``end``, but
    its runner-up."""

    start: Time
    end: Time
    kind: str


@dataclass(frozen=True, slots=True)
class Wording:
    """The player's words for the sentence about a passage, None where it is hidden. ``turn`` counts
    the sentences about the same passage from 0."""

    start: Time
    end: Time
    turn: int
    text: str | None


@dataclass(frozen=True, slots=True)
class Remark:
    """A sentence of the player's own about a passage."""

    start: Time
    end: Time
    text: str


@dataclass(frozen=True, slots=True)
class Extras:
    """What a sheet can't hold."""

    tellings: tuple[Telling, ...] = ()
    wordings: tuple[Wording, ...] = ()
    remarks: tuple[Remark, ...] = ()


NOTHING = Extras()
USUAL = Player()


@dataclass(frozen=True)
class State:
    """A tune on the desk, as far as the player decided it, and whose hand it is. Equal states have equal
    views."""

    tune: Tune
    extras: Extras = NOTHING
    player: Player = USUAL

    @cached_property
    def _hash(self) -> int:
        return hash((self.tune, self.extras, self.player))

    def __hash__(self) -> int:
        """Worked out once: everything on the desk is kept by its state."""
        return self._hash


def write_state(state: State, fingered: Tune) -> tuple[bytes, Json]:
    """The sheet with the strings, frets and slurs of ``fingered``, and the rest as JSON."""
    extras = state.extras
    return write_sheet(as_typed(state, fingered)), {
        "fixed": [_fixed(note) for note in state.tune.line.notes],
        "tellings": [
            {"start": str(t.start), "end": str(t.end), "kind": t.kind} for t in extras.tellings
        ],
        "wordings": [
            {"start": str(w.start), "end": str(w.end), "turn": w.turn, "text": w.text}
            for w in extras.wordings
        ],
        "remarks": [{"start": str(r.start), "end": str(r.end), "text": r.text} for r in extras.remarks],
    }


def as_typed(state: State, fingered: Tune) -> Tune:
    """The tune as a guitarist would type it: where each note is and what is slurred, but fingers and
    pick strokes only where the player wants just these."""
    notes = tuple(
        replace(
            note,
            pitch=own.pitch,  # not as the harmony of the moment spells it
            finger=own.finger,
            entry=own.entry if note.entry == "pick" else note.entry,
        )
        for note, own in zip(fingered.line.notes, state.tune.line.notes, strict=True)
    )
    return replace(fingered, line=Line(notes))


def read_state(sheet: bytes, rest: Json | None, file: str, open_line: OpenLine | None = None) -> State:
    """The state in a sheet and what was written beside it. Without ``rest`` all that the sheet says is
    the player's own. Raises FileError for a sheet that can't be read, InputError for another ``rest``."""
    tune = read_sheet(sheet, file, open_line)
    if rest is None:
        return State(tune)
    try:
        fixed = rest["fixed"]
        notes = [_with_fixed(note, own) for note, own in zip(tune.line.notes, fixed, strict=True)]
        extras = Extras(
            tuple(
                Telling(Fraction(t["start"]), Fraction(t["end"]), str(t["kind"]))
                for t in rest["tellings"]
            ),
            tuple(
                Wording(Fraction(w["start"]), Fraction(w["end"]), int(w["turn"]), _text(w["text"]))
                for w in rest["wordings"]
            ),
            tuple(
                Remark(Fraction(r["start"]), Fraction(r["end"]), str(r["text"])) for r in rest["remarks"]
            ),
        )
    except (KeyError, TypeError, ValueError) as error:
        raise InputError(
            f"{file}: what the desk keeps beside this sheet can't be read ({type(error).__name__}); "
            "the sheet alone is used"
        ) from None
    return State(replace(tune, line=Line(tuple(notes))), extras)


def _fixed(note: Note) -> list[Any] | None:
    own = [note.string, note.fret, note.finger, note.entry]
    return own if any(value is not None for value in own) else None


def _with_fixed(note: Note, own: list[Any] | None) -> Note:
    string, fret, finger, entry = own or (None, None, None, None)
    return replace(note, string=string, fret=fret, finger=finger, entry=entry)


def _text(text: Any) -> str | None:
    return None if text is None else str(text)


def move_extras(extras: Extras, moved: Callable[[Time], Time | None]) -> Extras:
    """The extras after bars were put in or taken out: ``moved`` tells where a time is now, None where
    it is gone, and what began there with it."""

    def span(start: Time, end: Time) -> tuple[Time, Time] | None:
        now = moved(start)
        if now is None:
            return None
        return now, moved(end) or now

    return Extras(
        tuple(replace(t, start=s[0], end=s[1]) for t in extras.tellings if (s := span(t.start, t.end))),
        tuple(replace(w, start=s[0], end=s[1]) for w in extras.wordings if (s := span(w.start, w.end))),
        tuple(replace(r, start=s[0], end=s[1]) for r in extras.remarks if (s := span(r.start, r.end))),
    )


def tidy_words(text: object) -> str:
    """A sentence as it is kept: one line, not too long. Raises InputError for anything else."""
    if not isinstance(text, str):
        raise InputError("a sentence is a line of text; write some words")
    tidy = " ".join(text.split())
    if len(tidy) > LONGEST_WORDS:
        raise InputError(f"that is {len(tidy)} letters; keep a sentence under {LONGEST_WORDS}")
    return tidy
