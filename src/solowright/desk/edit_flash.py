"""The edit of what is spent on flash: a passage gives way to its plainer version."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from solowright.desk.edit_facts import Edit, read_notes
from solowright.desk.state import State
from solowright.desk.worked import work_out
from solowright.errors import InputError
from solowright.music.tune import Tune


def plainer(state: State, edit: Edit, fingered: Tune) -> State:
    """The passage of just these ``notes`` in its plainer version, placed and fingered as the arc tells it."""
    from solowright.form import with_plainer, work_out_arc

    worked = work_out(state)
    assert worked.reading is not None
    wanted = read_notes(edit, state.tune)
    arc = work_out_arc(worked.tune, worked.fingering, worked.reading, player=state.player)
    for passage in arc.flash.passages:
        if passage.plainer is not None and passage.plainer.places == wanted:
            return replace(state, tune=with_plainer(state.tune, passage.plainer))
    raise InputError("these notes have no plainer version; choose a passage under 'What is spent on flash'")


FLASH_EDITS: Mapping[str, Callable[[State, Edit, Tune], State]] = {"plainer": plainer}
