"""What an edit says, read strictly: a page of ours is the usual sender, but anyone may post."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from solowright.errors import InputError
from solowright.music.chart import Chart, Place
from solowright.music.time import Time
from solowright.music.tune import Tune

Edit = dict[str, Any]


def read_int(edit: Edit, name: str, low: int, high: int) -> int:
    """A whole number that the edit must hold, between two bounds."""
    value = edit.get(name)
    if not isinstance(value, int) or isinstance(value, bool) or not low <= value <= high:
        raise InputError(f"'{name}' must be a whole number from {low} to {high}, not {_said(value)}")
    return value


def read_text(edit: Edit, name: str, longest: int = 20_000) -> str:
    """A text that the edit must hold."""
    value = edit.get(name)
    if not isinstance(value, str):
        raise InputError(f"'{name}' must be a text, not {_said(value)}")
    if len(value) > longest:
        raise InputError(f"'{name}' holds {len(value)} letters; {longest} are the most")
    return value


def read_flag(edit: Edit, name: str) -> bool:
    """A yes or no that the edit must hold."""
    value = edit.get(name)
    if not isinstance(value, bool):
        raise InputError(f"'{name}' must be true or false, not {_said(value)}")
    return value


def read_note(edit: Edit, tune: Tune, name: str = "note") -> int:
    """The place in the line of a note."""
    if not tune.line.notes:
        raise InputError("this tune has no notes yet; type a bar first")
    return read_int(edit, name, 0, len(tune.line.notes) - 1)


def read_notes(edit: Edit, tune: Tune) -> tuple[int, ...]:
    """The notes an edit is about: ``notes``, ``note``, or those that begin in bars ``from`` to ``to``."""
    if "notes" in edit:
        given = edit["notes"]
        if not isinstance(given, list):
            raise InputError(f"'notes' must be a list, not {_said(given)}")
        return tuple(sorted({read_note({"note": value}, tune) for value in given}))
    if "note" in edit:
        return (read_note(edit, tune),)
    first, last = read_bars(edit, tune.chart)
    start, end = tune.chart.starts[first], tune.chart.starts[last + 1]
    return tuple(i for i, note in enumerate(tune.line.notes) if start <= note.onset < end)


def read_bar(edit: Edit, chart: Chart, name: str = "bar") -> int:
    """The index of a bar that the edit gives by its number."""
    return chart.index(read_int(edit, name, chart.number(0), chart.number(len(chart.bars) - 1)))


def read_bars(edit: Edit, chart: Chart) -> tuple[int, int]:
    """The indices of the bars ``from`` to ``to``, or of ``bar`` alone."""
    if "bar" in edit:
        bar = read_bar(edit, chart)
        return bar, read_bar(edit, chart, "to") if "to" in edit else bar
    first, last = read_bar(edit, chart, "from"), read_bar(edit, chart, "to")
    if last < first:
        raise InputError(f"bars {edit['from']} to {edit['to']} are in the wrong order; turn them round")
    return first, last


def read_beats(edit: Edit, chart: Chart, bar: int, name: str = "beats") -> tuple[Time, ...]:
    """Beats of a bar as offsets from its first note, in order."""
    given = edit.get(name)
    if not isinstance(given, list):
        raise InputError(f"'{name}' must be a list of beats, not {_said(given)}")
    return tuple(sorted({_offset(value, chart, bar) for value in given}))


def read_place(edit: Edit, name: str, chart: Chart) -> Time:
    """The time of a bar and beat."""
    given = edit.get(name)
    if not isinstance(given, dict):
        raise InputError(f"'{name}' must hold a bar and a beat, not {_said(given)}")
    bar = read_bar(given, chart)
    return chart.starts[bar] + _offset(given.get("beat", 1), chart, bar)


def _offset(beat: Any, chart: Chart, bar: int) -> Time:
    if not isinstance(beat, int | float) or isinstance(beat, bool) or not 0 < beat < 1000:
        raise InputError(f"{_said(beat)} is not a beat; give one such as 2.5")
    exact = Fraction(beat).limit_denominator(96)  # 32nds and triplets of them come back exactly
    number = chart.number(bar)
    offset = chart.time(Place(number, exact)) - chart.starts[bar]
    if not 0 <= offset < chart.bars[bar].length:
        raise InputError(f"bar {number} has no beat {beat:g}; choose one inside the bar")
    return offset


def _said(value: Any) -> str:
    if value is None:
        return "nothing"
    text = str(value)
    return f"'{text[:40]}'" if isinstance(value, str) else text[:40]
