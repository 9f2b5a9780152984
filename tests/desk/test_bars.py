"""Bars put in and taken out of any tune: the line stays inside the chart, and what can come back does."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from solowright.desk.bars import insert_bars, open_section, remove_bars, replace_notes
from solowright.desk.state import State
from solowright.errors import InputError
from solowright.music.chart import Bar
from solowright.music.line import make_line
from solowright.music.tune import Tune
from tests.files.any_tunes import tunes

KNOWN = settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))


def inside(tune: Tune) -> Tune:
    """The tune with the notes that lie inside its chart."""
    notes = [
        note for note in tune.line.notes if note.onset < tune.chart.length and note.end <= tune.chart.length
    ]
    return replace(tune, line=make_line(notes))


def is_whole(tune: Tune) -> bool:
    times = [time for time, _ in tune.tempo.changes]
    return (
        all(0 <= note.onset < tune.chart.length and note.end <= tune.chart.length for note in tune.line.notes)
        and times[0] == 0
        and times == sorted(set(times))
        and tune.line == make_line(tune.line.notes)
    )


@KNOWN
@given(tunes(), st.data())
def test_bars_put_in_can_be_taken_out(tune: Tune, data: st.DataObject) -> None:
    tune = inside(tune)
    chart = tune.chart
    index = data.draw(st.integers(1 if chart.pickup else 0, len(chart.bars)))
    joins = index > 0 and (index == len(chart.bars) or data.draw(st.booleans()))
    count = data.draw(st.integers(1, 3))
    meter = chart.bars[max(0, index - 1)].meter
    state = insert_bars(State(tune), index, (Bar(meter),) * count, joins)
    assert is_whole(state.tune) and len(state.tune.chart.bars) == len(chart.bars) + count
    back = remove_bars(state, index, index + count - 1)
    assert is_whole(back.tune)
    at = chart.starts[index]
    crossing = {note.onset for note in tune.line.notes if note.onset < at < note.end}
    assert [n for n in back.tune.line.notes if n.onset not in crossing] == [
        n for n in tune.line.notes if n.onset not in crossing
    ]
    assert [bar.length for bar in back.tune.chart.bars] == [bar.length for bar in chart.bars]
    assert back.tune.chart.spans == chart.spans


@KNOWN
@given(tunes(), st.data())
def test_bars_taken_out_leave_the_rest(tune: Tune, data: st.DataObject) -> None:
    tune = inside(tune)
    chart = tune.chart
    first = data.draw(st.integers(0, len(chart.bars) - 1))
    last = data.draw(st.integers(first, len(chart.bars) - 1))
    try:
        after = remove_bars(State(tune), first, last).tune
    except InputError:
        assert (first, last) == (0, len(chart.bars) - 1)
        return
    assert is_whole(after)
    gone = chart.starts[last + 1] - chart.starts[first]
    assert after.chart.length == chart.length - gone
    for time in [
        start for start in chart.starts[:-1] if not chart.starts[first] <= start < chart.starts[last + 1]
    ]:
        now = time if time < chart.starts[first] else time - gone
        assert after.chart.chord_at(now) == chart.chord_at(time)


@KNOWN
@given(tunes(), st.data())
def test_a_section_opened_changes_no_bar(tune: Tune, data: st.DataObject) -> None:
    index = data.draw(st.integers(0, len(tune.chart.bars) - 1))
    after = open_section(tune.chart, index, "New")
    assert after.bars == tune.chart.bars and (index, "New") in after.section_starts


@KNOWN
@given(tunes(), st.data())
def test_notes_replaced_by_themselves_change_nothing(tune: Tune, data: st.DataObject) -> None:
    tune = inside(tune)
    chart = tune.chart
    bar = data.draw(st.integers(0, len(chart.bars) - 1))
    start, end = chart.starts[bar], chart.starts[bar + 1]
    own = [note for note in tune.line.notes if start <= note.onset < end]
    after = replace_notes(tune, bar, bar, own)
    expected = make_line([note for note in tune.line.notes if note.onset >= start]).notes
    assert tuple(note for note in after.line.notes if note.onset >= start) == expected
    assert all(n.end <= start for n in after.line.notes if n.onset < start)
