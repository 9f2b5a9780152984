"""Bars as a player would type them: tablature, ABC and chords, to be changed and sent back."""

from __future__ import annotations

from dataclasses import replace

from solowright.desk.edit_facts import read_bars
from solowright.desk.state import Json, State, as_typed
from solowright.desk.worked import work_out
from solowright.files.abc_write import write_abc_body
from solowright.files.chart_write import write_chart
from solowright.files.tab_write import fits_tab, write_tab
from solowright.music.chart import Chart, Section
from solowright.music.line import Line
from solowright.music.tune import Tune


def bar_texts(state: State, bars: Json) -> Json:
    """The notes of the bars ``bar`` to ``to`` as tablature (None where it can't say them) and as ABC, and
    their chords as in a chart."""
    tune = as_typed(state, work_out(state).tune)
    chart = tune.chart
    first, last = read_bars(bars, chart)
    start, end = chart.starts[first], chart.starts[last + 1]
    here = tuple(
        replace(note, duration=min(note.end, end) - note.onset)
        for note in tune.line.notes
        if start <= note.onset < end
    )
    cut = replace(tune, line=Line(here))
    tab = "\n".join(write_tab(cut)).strip("\n") if here and fits_tab(cut) else None
    return {"tab": tab, "abc": _abc(cut, first, last), "chords": _chords(chart, first, last)}


def _abc(tune: Tune, first: int, last: int) -> str:
    """The bars' own ABC, without places on the neck: what is typed there may be played anywhere."""
    chart, start = tune.chart, tune.chart.starts[first]
    notes = tuple(
        replace(note, onset=note.onset - start, string=None, fret=None, finger=None)
        if note.entry != "harmonic"
        else replace(note, onset=note.onset - start)
        for note in tune.line.notes
    )
    bars = chart.bars[first : last + 1]
    return write_abc_body(replace(tune, chart=Chart((Section("", bars),)), line=Line(notes))).strip()


def _chords(chart: Chart, first: int, last: int) -> str:
    bars = tuple(
        replace(bar, hits=(), pause=False, answered=False, answer=()) for bar in chart.bars[first : last + 1]
    )
    rows = write_chart(Chart((Section("", bars),)))
    text = " ".join(rows).replace("| |", "|")
    return " ".join(text.split())
