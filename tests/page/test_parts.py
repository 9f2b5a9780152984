"""Parts for the band: what stands in them is the chart's, in the reader's key, on one page, unspoilt."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given, settings

from solowright.demo import bundled_tune
from solowright.form import work_out_arc
from solowright.harmony import read_line
from solowright.music.chart import Bar, Chart, Section
from solowright.music.time import Meter
from solowright.music.tune import Tune
from solowright.neck import finger
from solowright.page.part_score import PARTS, Part, write_part
from solowright.page.parts import fit_lines, label, part_pdf, part_pictures
from tests.form.tunes import any_solo, arc_of, bars, tune_of

CONCERT, B_FLAT, E_FLAT, BASS = PARTS
WRITTEN = {"label", "chord", "section", "bar-number", "band-word"}


def demo():
    tune = bundled_tune()
    return tune, work_out_arc(tune, finger(tune), read_line(tune))


@pytest.mark.parametrize("part", PARTS, ids=lambda part: part.name)
def test_every_chord_is_the_chart_s_in_the_reader_s_key(part: Part):
    tune = bundled_tune()
    read = write_part(tune, part).tune
    for (start, _, chord), (at, _, other) in zip(tune.chart.spans, read.chart.spans, strict=True):
        assert start == at and chord is not None and other is not None
        assert (other.root.pitch_class - chord.root.pitch_class - part.semitones) % 12 == 0
        assert other.degrees == chord.degrees
    assert [bar.hits for bar in read.chart.bars] == [bar.hits for bar in tune.chart.bars]


def test_demo_reads_in_a_b_and_f_sharp():
    tonics = [write_part(bundled_tune(), part).tune.key.tonic.name for part in PARTS]
    assert tonics == ["A", "B", "F#", "A"]


def test_answers_give_each_part_one_voice_of_the_same_chord():
    tune = bundled_tune()
    chart = tune.chart
    scores = {part.name: write_part(tune, part) for part in PARTS}

    def sounding(part: Part) -> list[list[int]]:
        line = scores[part.name].tune.line.notes
        notes = [note for note in line if not chart.bars[chart.bar_index(note.onset)].pause]
        onsets = sorted({note.onset for note in notes})
        return [sorted(n.pitch.midi - part.semitones for n in notes if n.onset == at) for at in onsets]

    full = sounding(CONCERT)
    answers = [
        start + offset
        for start, bar in zip(chart.starts, chart.bars, strict=False)
        for offset in bar.answer
    ]
    assert len(full) == len(answers) == 6
    for chord, at, top, second, lowest in zip(
        full, answers, sounding(B_FLAT), sounding(E_FLAT), sounding(BASS), strict=True
    ):
        assert len(chord) == 4
        assert {midi % 12 for midi in chord} <= chart.chord_at(at).pitch_classes
        assert (top, second, lowest) == ([chord[3]], [chord[2]], [chord[0]])


@given(any_solo())
@settings(max_examples=20, deadline=None)
def test_cues_are_the_guitar_s_notes_some_octaves_off(tune: Tune):
    for part in (CONCERT, E_FLAT, BASS):
        score = write_part(tune, part)
        chart = tune.chart
        assert all(chart.bars[bar].pause for bar in score.cues)
        cued = [note for note in score.tune.line.notes if chart.bar_index(note.onset) in score.cues]
        played = [note for note in tune.line.notes if chart.bar_index(note.onset) in score.cues]
        assert [note.onset for note in cued] == [note.onset for note in played]
        moves = [a.pitch.midi - part.semitones - b.pitch.midi for a, b in zip(cued, played, strict=True)]
        assert all(move % 12 == 0 for move in moves)


@given(any_solo())
@settings(max_examples=20, deadline=None)
def test_slashes_keep_the_beats_and_the_hits(tune: Tune):
    score = write_part(tune, CONCERT)
    for index, row in score.slashes.items():
        bar = tune.chart.bars[index]
        assert not bar.pause
        assert sum(symbol.duration for symbol, _ in row) == bar.length
        struck = [symbol.onset - tune.chart.starts[index] for symbol, slash in row if slash]
        assert tuple(struck) == (bar.hits or tuple(Fraction(beat) for beat in range(4)))


@given(any_solo())
@settings(max_examples=10, deadline=None)
def test_no_text_meets_another(tune: Tune):
    arc = arc_of(tune)
    for part in (CONCERT, BASS):
        for line in fit_lines(tune, arc, part)[0]:
            texts = [mark for mark in line.marks if mark.kind in WRITTEN]
            for one, other in combinations(texts, 2):
                assert not one.box.meets(other.box), f"{one.text!r} meets {other.text!r}"
            for mark in line.marks:
                assert mark.box.top >= 0 and mark.box.bottom <= line.height and mark.box.left >= -1


def test_demo_and_64_bars_each_take_one_page():
    tune, arc = demo()
    assert len(part_pictures(tune, arc, CONCERT, 40.0)) == 1
    long = tune_of([(name, bars("C F G C " * 4)) for name in "ABCD"], "C4:1 D4:1 E4:1 D4:1 " * 64)
    assert len(long.chart.bars) == 64
    lines, size = fit_lines(long, arc_of(long), CONCERT)
    assert 0.5 <= size < 1 and lines[-1].last == 64
    assert len(part_pictures(long, arc_of(long), CONCERT, 40.0)) == 1


def test_labels_tell_hits_answers_and_cues():
    tune, arc = demo()
    score = write_part(tune, B_FLAT)
    labels = {arc.numbers[bar]: text for bar in range(36) if (text := label(score, arc, bar))}
    assert labels[7] == "hits, with the guitar" and labels[8] == "answer"
    assert labels[25] == labels[26] == "guitar cue" and 9 not in labels
    last = fit_lines(tune, arc, B_FLAT)[0][-1]
    assert any("then the melody" in mark.text for mark in last.marks)


def test_hits_that_the_line_holds_through_are_the_band_s_alone():
    tune = tune_of([("A", bars("C", hits=(Fraction(0), Fraction(2))))], "C4:4")
    assert label(write_part(tune, CONCERT), arc_of(tune), 0) == "hits"


def test_compound_meter_and_a_pickup_are_drawn():
    first, *others = bars("C F G C")
    six = tuple(replace(bar, meter=Meter(6, 8)) for bar in others)
    pickup = Bar(meter=Meter(6, 8), short=Fraction(1, 2))
    tune = tune_of([("A", (first,))], "")
    tune = replace(tune, chart=Chart((Section("A", (pickup, *six)),), pickup=True))
    score = write_part(tune, BASS)
    assert 0 not in score.slashes
    assert [(symbol.value, symbol.dots) for symbol, _ in score.slashes[1]] == [(4, 1), (4, 1)]
    assert part_pdf(tune, arc_of(tune), BASS).startswith(b"%PDF")
