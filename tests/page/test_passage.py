"""Passages: equal ones look alike, an edit reaches only what shows it, neighbours show over the edge."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from solowright.errors import InputError
from solowright.music.chart import Bar, Chart, Section
from solowright.music.line import Line, make_line
from solowright.music.notation import notate
from solowright.music.time import Meter
from solowright.music.tune import Tune
from solowright.page.engrave import engrave
from solowright.page.passage import Whole
from solowright.page.score import write_score
from tests.files.any_tunes import tunes
from tests.page.tunes import at, bar, dense_tune

PLAIN = Tune(
    "Plain",
    Chart((Section("A", tuple(bar("C") for _ in range(12))),)),
    make_line([at(2, 1, n, 1, 1) for n in range(48)]),
)


def svgs(tune: Tune) -> list[str]:
    return [system.svg for system in engrave(tune)]


def test_an_edit_draws_only_its_own_system_anew() -> None:
    notes = list(PLAIN.line.notes)
    notes[21] = replace(notes[21], string=3, fret=5)
    after = replace(PLAIN, line=make_line(notes))
    assert [a == b for a, b in zip(svgs(PLAIN), svgs(after), strict=True)] == [True, False, True]


def test_more_notes_before_leave_the_systems_behind() -> None:
    notes = [at(2, 3, Fraction(n, 2), Fraction(1, 2), 3) for n in range(8)]
    more = replace(PLAIN, line=make_line([*notes, *PLAIN.line.notes[4:]]))
    before, after = engrave(PLAIN), engrave(more)
    assert [a.svg == b.svg for a, b in zip(before, after, strict=True)] == [False, True, True]
    assert after[1].notes[0].index == before[1].notes[0].index + 4


def test_what_crosses_the_edge_is_drawn_on_both_sides() -> None:
    notes = list(PLAIN.line.notes)
    for index in (16, 17):  # from the last note of a system over the first of the next
        notes[index] = replace(notes[index], slurred=True)
    slurred = replace(PLAIN, line=make_line(notes))
    tied = replace(PLAIN, line=make_line([*notes[:15], at(2, 1, 15, 2, 1)]))
    for tune, kind in ((slurred, "slur"), (tied, "tie")):
        drawn = [f'class="{kind}' in svg for svg in svgs(tune)]
        assert drawn[:2] == [True, True] and not drawn[2], kind


def test_a_meter_that_changes_at_the_edge_is_told_on_both_sides() -> None:
    bars = [Bar() for _ in range(4)] + [Bar(Meter(3, 4)) for _ in range(4)] + [Bar(Meter(3, 4))] * 4
    tune = Tune("t", Chart((Section("A", tuple(bars[:4])), Section("B", tuple(bars[4:])))))
    told = [svg.count('<g class="meterSig">') for svg in svgs(tune)]
    assert told == [2, 1, 0]  # its own and a reminder; the new one; nothing


def test_an_accidental_is_reminded_of_over_the_edge() -> None:
    line = [at(2, 2, 15, 1, 1), at(2, 1, 16, 1, 1)]
    natural = svgs(replace(PLAIN, line=make_line(line)))[1]
    without = svgs(replace(PLAIN, line=make_line(line[1:])))[1]
    assert 'class="accid"' in natural and 'class="accid"' not in without


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(tunes(), st.data())
def test_a_passage_is_written_as_the_whole_is(tune: Tune, data: st.DataObject) -> None:
    """The symbols of a cut's own bars are those that the whole tune has there."""
    if not tune.chart.bars or any(note.end > tune.chart.length for note in tune.line.notes):
        return
    try:
        whole = notate(tune)
    except InputError:
        return
    first = data.draw(st.integers(0, len(tune.chart.bars) - 1))
    stop = data.draw(st.integers(first + 1, len(tune.chart.bars)))
    cut = Whole(tune).cut(first, stop)
    score = write_score(cut.passage)

    def told(bars, start):
        return [
            [
                (s.onset + start, s.duration, s.value, s.dots, s.tuplet, s.tie_from, s.beam, s.whole_bar,
                 [(n.pitch, n.onset + start, n.string, n.fret) for n in (*s.graces, *s.notes)])
                for s in symbols
            ]
            for symbols in bars
        ]  # fmt: skip

    shown = score.shown
    assert told(score.bars[shown.start : shown.stop], cut.start) == told(whole[first:stop], 0)
    names = {f"n{cut.note + int(name[1:])}": alter for name, alter in score.accidentals.items()}
    everything = write_score(Whole(tune).cut(0, len(tune.chart.bars)).passage).accidentals
    own = {
        f"n{index}"
        for index, note in enumerate(tune.line.notes)
        if tune.chart.starts[first] <= note.onset < tune.chart.starts[stop]
    }
    assert {name: names[name] for name in names if name in own} == {
        name: everything[name] for name in everything if name in own
    }


def test_equal_passages_are_equal_wherever_they_stand() -> None:
    tune = dense_tune()
    again = replace(tune, title="Another", line=Line(tuple(replace(note) for note in tune.line.notes)))
    bars = len(tune.chart.bars)
    for first in range(bars):
        one, other = (Whole(t).cut(first, min(first + 3, bars)).passage for t in (tune, again))
        assert one == other and hash(one) == hash(other)


def test_identifiers_depend_on_the_bars_alone() -> None:
    for system in engrave(dense_tune()):
        names = re.findall(r' id="([^"]+)"', system.svg)
        assert names and all(name.startswith(f"b{system.first}-") for name in names)
