"""Every kind of edit, and the one way in: a state and an edit give a new state, or an InputError."""

from __future__ import annotations

from solowright.desk.edit_bars import BAR_EDITS
from solowright.desk.edit_facts import Edit
from solowright.desk.edit_flash import FLASH_EDITS
from solowright.desk.edit_notes import NOTE_EDITS
from solowright.desk.edit_tune import TUNE_EDITS
from solowright.desk.edit_words import WORD_EDITS
from solowright.desk.state import State
from solowright.errors import InputError
from solowright.files.text import nearest
from solowright.music.tune import Tune

EDITS = {**NOTE_EDITS, **BAR_EDITS, **TUNE_EDITS, **WORD_EDITS, **FLASH_EDITS}


def apply_edit(state: State, edit: Edit, fingered: Tune) -> State:
    """The state with an edit made. ``fingered`` is its tune as it is played now.

    Raises InputError, a sentence for the player, for what can't be done.
    """
    kind = edit.get("kind")
    if not isinstance(kind, str) or kind not in EDITS:
        name = str(kind)[:40]
        raise InputError(f"'{name}' is no edit known here{nearest(name, EDITS)}; known: {', '.join(EDITS)}")
    return EDITS[kind](state, edit, fingered)
