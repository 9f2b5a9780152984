"""Edits of the chart and of the notes in its bars.

What is typed is read by the readers of the sheet, so a bar on the desk is written as in a file; their
problems come back as one sentence with the line and column of what was typed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from solowright.desk.bars import (
    change_bar,
    insert_bars,
    join_section,
    open_section,
    remove_bars,
    replace_notes,
)
from solowright.desk.edit_facts import (
    Edit,
    read_bar,
    read_bars,
    read_beats,
    read_flag,
    read_int,
    read_text,
)
from solowright.desk.state import Extras, State
from solowright.errors import FileError, InputError
from solowright.files.abc_body import read_abc_body
from solowright.files.chart_text import read_chart_lines
from solowright.files.tab_read import read_tab
from solowright.files.text import Report, TextLine, number_text, split_lines
from solowright.music.chart import Bar, Chart
from solowright.music.line import Line
from solowright.music.time import Meter, Time
from solowright.music.tune import Tune

MOST_INSERTED = 64
LONGEST_NAME = 60


def chord(state: State, edit: Edit, fingered: Tune) -> State:
    """The chords of ``bar``, typed as in a chart: ``B7 Em7``, ``Bm7 . . E7``, ``%``, ``N.C.``; nothing
    holds the chord before."""
    chart = state.tune.chart
    index = read_bar(edit, chart)
    text = read_text(edit, "text", 500).strip()
    if any(sign in text for sign in "{}|[]\n"):
        raise InputError("type the chords of this one bar only, such as B7 Em7")
    old = chart.bars[index]
    if text == "%":
        if index == 0:
            raise InputError("there is no bar before to repeat; type a chord")
        chords = chart.bars[index - 1].chords
    elif not text or set(text.split()) == {"."}:
        chords = ()
    else:
        short = "" if old.short is None else f" {{short {number_text(old.short)}}}"
        pickup = old.short if chart.pickup and index == 0 else None
        chords = _read_chart(text if pickup else text + short, old.meter, pickup)[0].chords
    return _with_chart(state, change_bar(chart, index, lambda bar: replace(bar, chords=chords)))


def _read_chart(text: str, meter: Meter, pickup: Time | None = None) -> tuple[Bar, ...]:
    """The bars in a line of a chart. Raises InputError."""
    text = text.strip()
    if not text.startswith("|"):
        text = f"| {text} |"
    report = Report("")
    try:
        chart = read_chart_lines(split_lines(text), meter, pickup, report)
        report.stop()
    except FileError as error:
        raise InputError(error.problems[0].text) from None
    if len(chart.sections) != 1 or chart.sections[0].name or chart.sections[0].times > 1:
        raise InputError("type bars only; a section is opened at its first bar afterwards")
    return chart.bars


def put_in(state: State, edit: Edit, fingered: Tune) -> State:
    """Bars ``before`` or ``after`` a bar: ``count`` empty ones, or those of ``text`` (``| A7 | D7 |``)."""
    chart = state.tune.chart
    after = "after" in edit
    near = read_bar(edit, chart, "after" if after else "before")
    meter = chart.bars[near].meter
    if edit.get("text"):
        bars = _read_chart(read_text(edit, "text", 5000), meter)
    else:
        bars = (Bar(meter),) * read_int(edit, "count", 1, MOST_INSERTED)
    if len(bars) > MOST_INSERTED:
        raise InputError(f"that is {len(bars)} bars; put in {MOST_INSERTED} at most at a time")
    return insert_bars(state, near + 1 if after else near, bars, joins_before=after)


def take_out(state: State, edit: Edit, fingered: Tune) -> State:
    """Takes out the bars ``from`` to ``to``, and the notes that begin in them."""
    return remove_bars(state, *read_bars(edit, state.tune.chart))


def section(state: State, edit: Edit, fingered: Tune) -> State:
    """Opens a section called ``name`` at ``bar``, or renames the one there; null joins it to the one
    before."""
    chart = state.tune.chart
    index = read_bar(edit, chart)
    if edit.get("name") is None:
        return _with_chart(state, join_section(chart, index))
    name = " ".join(read_text(edit, "name", LONGEST_NAME).replace("]", ")").split())
    if not name:
        raise InputError("a section needs a name, such as Bridge")
    return _with_chart(state, open_section(chart, index, name))


def hits(state: State, edit: Edit, fingered: Tune) -> State:
    """The ``beats`` of ``bar`` that the band strikes together; none takes the hits away."""
    chart = state.tune.chart
    index = read_bar(edit, chart)
    beats = read_beats(edit, chart, index)
    return _with_chart(state, change_bar(chart, index, lambda bar: replace(bar, hits=beats)))


def silence(state: State, edit: Edit, fingered: Tune) -> State:
    """Whether the band is silent in the bars ``from`` to ``to``: ``on``."""
    first, last = read_bars(edit, state.tune.chart)
    on, chart = read_flag(edit, "on"), state.tune.chart
    for index in range(first, last + 1):
        chart = change_bar(chart, index, lambda bar: replace(bar, pause=on))
    return _with_chart(state, chart)


def answer(state: State, edit: Edit, fingered: Tune) -> State:
    """Whether the band answers in ``bar`` (``on``), and on which ``beats``, none where only that it does."""
    chart = state.tune.chart
    index = read_bar(edit, chart)
    on = read_flag(edit, "on")
    beats = read_beats(edit, chart, index) if on and edit.get("beats") else ()
    return _with_chart(
        state, change_bar(chart, index, lambda bar: replace(bar, answered=on and not beats, answer=beats))
    )


def bar_tab(state: State, edit: Edit, fingered: Tune) -> State:
    """The notes of ``bar`` (up to bar ``to``) typed as tablature under a count; what is typed is fixed.
    Nothing typed: a rest."""
    tune = state.tune
    first, last = read_bars(edit, tune.chart)
    text = read_text(edit, "text")
    lines = split_lines(text)
    if text.strip() and not text.lstrip().lower().startswith("bar"):
        lines = [TextLine(0, f"bar {tune.chart.number(first)}"), *lines]
    report = Report("")
    try:
        line = read_tab(lines, tune.chart, tune.key, tune.tuning, tune.capo, report)
        report.stop()
    except FileError as error:
        raise _typed(error) from None
    return _with_notes(state, first, last, line)


def bar_abc(state: State, edit: Edit, fingered: Tune) -> State:
    """The notes of ``bar`` (up to bar ``to``) typed as ABC. Nothing typed: a rest."""
    tune = state.tune
    chart = tune.chart
    first, last = read_bars(edit, chart)
    text = read_text(edit, "text")
    before = "".join("z" + _abc_length(bar) + "|" for bar in chart.bars[:first])
    try:
        line = read_abc_body(f"{before}\n{text}", file="", first_line=0, chart=chart, key=tune.key)
    except FileError as error:
        raise _typed(error) from None
    return _with_notes(state, first, last, line)


def _abc_length(bar: Bar) -> str:
    """A bar's length in eighths, as ABC writes a rest's."""
    length = bar.length * 2
    return f"{length.numerator}/{length.denominator}" if length.denominator > 1 else str(length.numerator)


def _typed(error: FileError) -> InputError:
    """The first problem with its place in what was typed."""
    problem = error.problems[0]
    where = f"line {problem.line}, column {problem.column}: " if problem.line else ""
    return InputError(where + problem.text)


def _with_notes(state: State, first: int, last: int, line: Line) -> State:
    """The state with the line's notes in some bars. What was said of the notes that stood there goes."""
    chart = state.tune.chart
    start, end = chart.starts[first], chart.starts[last + 1]
    stray = [note for note in line.notes if not start <= note.onset < end]
    if stray:
        place = chart.place(stray[0].onset)
        raise InputError(f"what you typed goes on at {place}; type bars {chart.number(first)} to "
                         f"{chart.number(last)} only, or choose more bars")
    if any(note.end > end for note in line.notes):
        raise InputError("the last note rings over the barline; type the next bar with it")
    extras = state.extras
    kept = Extras(
        tuple(telling for telling in extras.tellings if not start <= telling.start < end),
        tuple(w for w in extras.wordings if w.text is not None or not start <= w.start < end),
        extras.remarks,
    )
    return State(replace_notes(state.tune, first, last, line.notes), kept)


def _with_chart(state: State, chart: Chart) -> State:
    return replace(state, tune=replace(state.tune, chart=chart))


BAR_EDITS: Mapping[str, Callable[[State, Edit, Tune], State]] = {
    "chord": chord,
    "insert_bars": put_in,
    "remove_bars": take_out,
    "section": section,
    "hits": hits,
    "break": silence,
    "answer": answer,
    "bar_tab": bar_tab,
    "bar_abc": bar_abc,
}
