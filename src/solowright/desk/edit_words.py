"""Edits of what is said: the other telling of a phrase, the words of a sentence, remarks of one's own."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction

from solowright.desk.edit_facts import Edit, read_flag, read_int, read_place, read_text
from solowright.desk.state import Extras, Remark, State, Telling, Wording, tidy_words
from solowright.errors import InputError
from solowright.music.time import Time
from solowright.music.tune import Tune

_TIME = r"(\d{1,6}(?:/[1-9]\d{0,5})?)"
_ID = re.compile(rf"{_TIME}~{_TIME}~([\w-]+)", re.ASCII)  # as retelling writes them


def reading(state: State, edit: Edit, fingered: Tune) -> State:
    """The other telling (``other`` true) or the first again of the device whose id is ``device``."""
    start, end, kind = _read_id(edit, "device")
    tellings = tuple(t for t in state.extras.tellings if (t.start, t.end, t.kind) != (start, end, kind))
    if read_flag(edit, "other"):
        tellings = (*tellings, Telling(start, end, kind))
    return _with(state, replace(state.extras, tellings=tellings))


def sentence(state: State, edit: Edit, fingered: Tune) -> State:
    """Other words (``text``) for the sentence whose id is ``sentence``; ``hidden`` true hides it; a
    null text without it brings back what was found."""
    start, end, last = _read_id(edit, "sentence")
    if not last.isdecimal() or len(last) > 4:
        raise InputError("this sentence isn't there any more; look at the page again")
    turn = int(last)
    wordings = tuple(w for w in state.extras.wordings if (w.start, w.end, w.turn) != (start, end, turn))
    if edit.get("hidden"):
        wordings = (*wordings, Wording(start, end, turn, None))
    elif edit.get("text") is not None:
        text = tidy_words(edit["text"])
        wordings = (*wordings, Wording(start, end, turn, text or None))  # no words: hidden
    return _with(state, replace(state.extras, wordings=wordings))


def remark(state: State, edit: Edit, fingered: Tune) -> State:
    """A remark of one's own: ``text`` about what lies ``from`` to ``to`` (bar and beat each), or other
    words for the one whose id is ``remark``. Empty words take it away."""
    remarks = list(state.extras.remarks)
    text = tidy_words(edit.get("text") or "")
    if edit.get("remark") is not None:
        name = read_text(edit, "remark", 40)
        number = name.removeprefix("remark~")
        index = read_int({"remark": int(number) if number.isdecimal() else -1}, "remark", 0, len(remarks) - 1)
        remarks[index : index + 1] = [replace(remarks[index], text=text)] if text else []
    else:
        if not text:
            raise InputError("write some words for the remark")
        start = read_place(edit, "from", state.tune.chart)
        end = read_place(edit, "to", state.tune.chart) if "to" in edit else start
        remarks.append(Remark(start, max(start, end), text))
        remarks.sort(key=lambda one: (one.start, one.end))
    return _with(state, replace(state.extras, remarks=tuple(remarks)))


def _read_id(edit: Edit, name: str) -> tuple[Time, Time, str]:
    found = _ID.fullmatch(read_text(edit, name, 120))
    if found is None:
        raise InputError(f"this {name} isn't there any more; look at the page again")
    return Fraction(found[1]), Fraction(found[2]), found[3]


def _with(state: State, extras: Extras) -> State:
    return replace(state, extras=extras)


WORD_EDITS: Mapping[str, Callable[[State, Edit, Tune], State]] = {
    "reading": reading,
    "sentence": sentence,
    "remark": remark,
}
