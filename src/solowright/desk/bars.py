"""A chart taken apart and put together: bars changed, put in and taken out, sections opened and joined.

Bars are counted by index as played. A section that is played several times is written out where one of
its bars is to differ. The line, the tempo map and the extras move along.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from solowright.desk.state import State, move_extras
from solowright.errors import InputError
from solowright.music.chart import Bar, Chart, ChordAt, Section
from solowright.music.line import Line, Note, make_line
from solowright.music.time import ZERO, TempoMap, Time
from solowright.music.tune import Tune

MOST_BARS = 1000


def change_bar(chart: Chart, index: int, change: Callable[[Bar], Bar]) -> Chart:
    """The chart with one bar changed."""
    sections, at, inside = _open_section(chart, index)
    bars = list(sections[at].bars)
    bars[inside] = change(bars[inside])
    sections[at] = replace(sections[at], bars=tuple(bars))
    return replace(chart, sections=tuple(sections))


def _open_section(chart: Chart, index: int) -> tuple[list[Section], int, int]:
    """The sections, with the one that holds a bar written out; its place among them, and the bar's in it."""
    sections: list[Section] = []
    first = 0
    found = (0, 0)
    for section in chart.sections:
        length = len(section.bars) * section.times
        if first <= index < first + length:
            turn, inside = divmod(index - first, len(section.bars))
            found = (len(sections) + turn, inside)
            sections += [replace(section, times=1)] * section.times
        else:
            sections.append(section)
        first += length
    return sections, *found


def open_section(chart: Chart, index: int, name: str) -> Chart:
    """The chart with a section of that name from a bar on; one that begins there is renamed."""
    sections, at, inside = _open_section(chart, index)
    section = sections[at]
    if inside == 0:
        sections[at] = replace(section, name=name)
    else:
        before, after = section.bars[:inside], section.bars[inside:]
        sections[at : at + 1] = [replace(section, bars=before), Section(name, after)]
    return replace(chart, sections=tuple(sections))


def join_section(chart: Chart, index: int) -> Chart:
    """The chart with the section that begins at a bar joined to the one before; the first one loses
    its name. Raises InputError where none begins."""
    sections, at, inside = _open_section(chart, index)
    if inside:
        raise InputError(f"no section begins at bar {chart.number(index)}; choose the bar where it begins")
    if at == 0:
        sections[0] = replace(sections[0], name="")
        return replace(chart, sections=tuple(sections))
    sections, at, _ = _open_section(replace(chart, sections=tuple(sections)), index - 1)
    joined = replace(sections[at], bars=sections[at].bars + sections[at + 1].bars)
    sections[at : at + 2] = [joined]
    return replace(chart, sections=tuple(sections))


def insert_bars(state: State, index: int, bars: Sequence[Bar], joins_before: bool) -> State:
    """The state with bars put in before the bar at ``index`` (or behind the last one), into the section
    of the bar before or after. Notes that ring over that barline end there."""
    tune = state.tune
    chart = tune.chart
    if len(chart.bars) + len(bars) > MOST_BARS:
        raise InputError(f"that would make more than {MOST_BARS} bars; put in fewer")
    if chart.pickup and index == 0:
        raise InputError("nothing can stand before the pickup; put the bars in after it")
    at_time, by = chart.starts[index], sum((bar.length for bar in bars), ZERO)
    following = _write_out(chart, index) if index < len(chart.bars) and bars_change(bars) else chart
    sections, at, inside = _open_section(following, index - 1 if joins_before else index)
    inside += joins_before
    section = sections[at]
    sections[at] = replace(section, bars=(*section.bars[:inside], *bars, *section.bars[inside:]))

    def moved(time: Time) -> Time:
        return time + by if time >= at_time else time

    notes = [
        replace(note, onset=moved(note.onset), duration=_cut(note, at_time)) for note in tune.line.notes
    ]
    changes = tuple((moved(time) if time else time, bpm) for time, bpm in tune.tempo.changes)
    tune = replace(
        tune,
        chart=replace(chart, sections=tuple(sections)),
        line=Line(tuple(notes)),
        tempo=TempoMap(changes),
    )
    return State(tune, move_extras(state.extras, moved))


def bars_change(bars: Sequence[Bar]) -> bool:
    """Whether bars bring chords of their own."""
    return any(bar.chords for bar in bars)


def _cut(note: Note, end: Time) -> Time:
    """The duration of a note that may not ring over a time."""
    return end - note.onset if note.onset < end < note.end else note.duration


def _write_out(chart: Chart, index: int) -> Chart:
    """The chart with the chord that is held into a bar written there."""
    bar = chart.bars[index]
    if bar.chords and bar.chords[0].offset == 0:
        return chart
    held = ChordAt(ZERO, chart.chord_at(chart.starts[index]))
    return change_bar(chart, index, lambda old: replace(old, chords=(held, *old.chords)))


def remove_bars(state: State, first: int, last: int) -> State:
    """The state without some bars and the notes that begin in them. Raises InputError for all of them."""
    tune = state.tune
    chart = tune.chart
    if last - first + 1 == len(chart.bars):
        raise InputError("a tune needs a bar; leave one")
    start, end = chart.starts[first], chart.starts[last + 1]
    if last + 1 < len(chart.bars):
        chart = _write_out(chart, last + 1)
    sections = list(chart.sections)
    for index in range(last, first - 1, -1):
        sections, at, inside = _open_section(replace(chart, sections=tuple(sections)), index)
        bars = sections[at].bars
        left = bars[:inside] + bars[inside + 1 :]
        sections[at : at + 1] = [replace(sections[at], bars=left)] if left else []

    def moved(time: Time) -> Time | None:
        if start <= time < end:
            return None
        return time - (end - start) if time >= end else time

    notes = [
        replace(note, onset=now, duration=_cut(note, start))
        for note in tune.line.notes
        if (now := moved(note.onset)) is not None
    ]
    tempos = {moved(time) if moved(time) is not None else start: bpm for time, bpm in tune.tempo.changes}
    tempo = TempoMap(tuple(sorted((time, bpm) for time, bpm in tempos.items() if time is not None)))
    pickup = chart.pickup and first > 0
    tune = replace(
        tune,
        chart=Chart(tuple(sections), pickup),
        line=make_line(notes),
        tempo=_within(tempo, chart.length - (end - start)),
    )
    return State(tune, move_extras(state.extras, moved))


def _within(tempo: TempoMap, length: Time) -> TempoMap:
    return TempoMap(tuple(change for change in tempo.changes if change[0] < length or not change[0]))


def replace_notes(tune: Tune, first: int, last: int, notes: Sequence[Note]) -> Tune:
    """The tune with other notes in the bars from ``first`` to ``last``. What rings into them ends at
    their barline; a slur out of them is dropped, since it led from a note that is gone."""
    chart = tune.chart
    start, end = chart.starts[first], chart.starts[last + 1]
    before = [
        replace(note, duration=_cut(note, start)) for note in tune.line.notes if note.onset < start
    ]
    after = [note for note in tune.line.notes if note.onset >= end]
    if after:
        opening = after[0].onset
        after = [_unslurred(note) if note.onset == opening else note for note in after]
    return replace(tune, line=make_line([*before, *notes, *after]))


def _unslurred(note: Note) -> Note:
    entry = None if note.entry in ("hammer", "pull", "slide") else note.entry
    return replace(note, entry=entry, slurred=False)
