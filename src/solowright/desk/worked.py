"""A state worked out: fingered, read with the player's own choices and words, and shown.

Every result is kept by its state, so an undo or a second window costs nothing, and an edit starts from
what was found before it. The page keeps its own systems (see ``page.engrave``).
"""

from __future__ import annotations

from functools import lru_cache

from solowright.desk.edit_notes import FIXED
from solowright.desk.kept import Kept
from solowright.desk.retelling import Retelling, Retold, retell
from solowright.desk.state import Json, State
from solowright.harmony.reading import read_spelled
from solowright.harmony.record import Reading
from solowright.music.tune import Tune
from solowright.neck.fingering import Fingering, Solved, apply_path, solve, solve_after
from solowright.work import Worked

KEPT = 12  # states whose results are kept


_solved: Kept[State, Solved] = Kept(KEPT)
_read: Kept[State, tuple[Tune, Reading]] = Kept(KEPT)


def find_fingering(state: State) -> Fingering:
    """The fingering around what the player fixed. Raises InputError where there is none."""
    return _solved.find(state, lambda: solve(state.tune, state.player)).fingering


def find_reading(state: State) -> tuple[Tune, Reading]:
    """The tune spelled by its harmony, and its reading before the player's own choices."""
    return _read.find(state, lambda: read_spelled(state.tune))


def follow(before: State, state: State) -> None:
    """Works out a state from the one before it: exactly what is found without, but only what the edit
    reaches is searched again. Raises InputError as ``find_fingering`` does."""
    same = state.tune is before.tune  # only words were edited
    solved, read = _solved.get(before), _read.get(before)
    if solved is None or before.player != state.player:
        find_fingering(state)
    else:
        _solved.find(state, lambda: solved if same else solve_after(solved, state.tune))
    if read is None:
        find_reading(state)
    else:
        _read.find(state, lambda: read if same else read_spelled(state.tune, read[1]))


@lru_cache(KEPT)
def find_retelling(state: State) -> Retelling:
    """The reading with the player's own choices and words."""
    return retell(find_reading(state)[1], state.extras)


@lru_cache(KEPT)
def work_out(state: State) -> Worked:
    """The state fingered and read. Raises InputError for a line that can't be played."""
    fingering = find_fingering(state)
    tune, found = find_reading(state)
    reading = find_retelling(state).reading(found)
    return Worked(apply_path(tune, fingering.paths[0]), fingering, reading)


@lru_cache(KEPT)
def find_arc(state: State) -> Json:
    """The arc of a state, as a view holds it."""
    from solowright.form import arc_json, work_out_arc

    worked = work_out(state)
    assert worked.reading is not None
    arc = work_out_arc(worked.tune, worked.fingering, worked.reading, player=state.player)
    found: Json = arc_json(worked.tune, arc)
    return found


@lru_cache(KEPT)
def show(state: State, width: float) -> Json:
    """The view of a state (see ``web.view``) without its arc, systems ``width`` points wide; don't change
    what it gives.

    Beside what a view holds, each note has what the player ``fixed`` of it (see ``edit_notes.FIXED``),
    each device its ``id`` and whether its other telling is ``chosen``, each sentence its ``id`` and
    ``whose`` it is (found, edited, own), and what was ``found`` where it was edited; ``hidden`` lists the
    sentences that the player doesn't want to see.
    """
    from solowright.web.view import view_json

    retelling = find_retelling(state)
    view = view_json(work_out(state), player=state.player, width=width)
    for told, note in zip(view["notes"], state.tune.line.notes, strict=True):
        told["fixed"] = [what for what, fields in FIXED.items() if getattr(note, fields[0]) is not None]
    for device, name in zip(view["devices"], retelling.ids, strict=True):
        device |= {"id": name, "chosen": name in retelling.chosen}
    shown = [retold for retold in retelling.sentences if retold.whose != "hidden"]
    for sentence, retold in zip(view["sentences"], shown, strict=True):
        sentence |= {"id": retold.id, "whose": retold.whose, "found": retold.found}
    view["hidden"] = [
        {"id": retold.id, "text": retold.sentence.text, **_span(state.tune, retold)}
        for retold in retelling.sentences
        if retold.whose == "hidden"
    ]
    return view


def _span(tune: Tune, retold: Retold) -> Json:
    start, end = tune.chart.place(retold.sentence.start), tune.chart.place(retold.sentence.end)
    return {
        "from": {"bar": start.bar, "beat": float(start.beat)},
        "to": {"bar": end.bar, "beat": float(end.beat)},
    }
