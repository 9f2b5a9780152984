"""The shape of a solo: curves, climax, breaks, hits, answers, the way back, and the flash budget."""

from solowright.form.answer import arc_json
from solowright.form.arc import work_out_arc
from solowright.form.changes import move_to_key, tell_changes
from solowright.form.plainer import make_plainer, with_plainer
from solowright.form.record import Arc, Passage, Plainer
from solowright.form.words import arc_text

__all__ = [
    "Arc",
    "Passage",
    "Plainer",
    "arc_json",
    "arc_text",
    "make_plainer",
    "move_to_key",
    "tell_changes",
    "with_plainer",
    "work_out_arc",
]
