"""Edits of the tune as a whole: tempo, key, what stands at its head."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from solowright.desk.edit_facts import Edit, read_int, read_text
from solowright.desk.state import State
from solowright.errors import InputError
from solowright.files.sheet_header import read_feel, read_key
from solowright.music.time import FASTEST, SLOWEST
from solowright.music.tune import Tune

LONGEST_TITLE = 200


def tempo(state: State, edit: Edit, fingered: Tune) -> State:
    """The show tempo: ``tempo`` in quarter notes a minute; later tempos keep their proportion."""
    wanted = edit.get("tempo")
    if not isinstance(wanted, int | float) or isinstance(wanted, bool) or not SLOWEST <= wanted <= FASTEST:
        raise InputError(f"a tempo is {SLOWEST:g} to {FASTEST:g} quarters a minute; give one such as 186")
    return replace(state, tune=state.tune.at_tempo(round(float(wanted), 2)))


def transpose(state: State, edit: Edit, fingered: Tune) -> State:
    """The tune so many ``semitones`` higher; strings are kept where the neck allows."""
    from solowright.sound.practice import transposed

    return replace(state, tune=transposed(state.tune, read_int(edit, "semitones", -12, 12)))


def heading(state: State, edit: Edit, fingered: Tune) -> State:
    """What stands at the head, each where it is given: ``title``, ``composer``, ``key``, ``feel``."""
    tune = state.tune
    if "title" in edit:
        title = " ".join(read_text(edit, "title", LONGEST_TITLE).split())
        if not title:
            raise InputError("a tune needs a title; type one")
        tune = replace(tune, title=title)
    if "composer" in edit:
        tune = replace(tune, composer=" ".join(read_text(edit, "composer", LONGEST_TITLE).split()))
    if "key" in edit:
        tune = replace(tune, key=read_key(read_text(edit, "key", 40)))
    if "feel" in edit:
        tune = replace(tune, feel=read_feel(read_text(edit, "feel", 40)))
    return replace(state, tune=tune)


TUNE_EDITS: Mapping[str, Callable[[State, Edit, Tune], State]] = {
    "tempo": tempo,
    "transpose": transpose,
    "heading": heading,
}
