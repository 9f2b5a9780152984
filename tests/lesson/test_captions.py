"""Captions: in step, long enough to be read, one at a time."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.demo import bundled_tune
from solowright.harmony import read_line
from solowright.lesson.captions import LINE, READING, SHORTEST, Cue, broken, make_cues, write_vtt
from solowright.music.time import Time

TUNE = bundled_tune()
READ = read_line(TUNE)
LEAD = 1.29


@given(st.floats(40, 300))
@settings(max_examples=20, deadline=None)
def test_each_comes_in_with_its_note_and_stands_long_enough(tempo: float) -> None:
    tune = TUNE.at_tempo(tempo)
    until = LEAD + tune.seconds(tune.chart.length) + 2.5
    cues = make_cues(tune, READ, lambda time: LEAD + tune.seconds(time), until)
    assert cues
    onsets = {note.onset for note in TUNE.line.notes}
    for cue in cues:
        assert cue.note in onsets
        assert cue.start == pytest.approx(LEAD + tune.seconds(cue.note), abs=1e-9)
        assert cue.end - cue.start >= min(SHORTEST, len(cue.text) / READING) - 1e-9
        assert cue.end - cue.start >= len(cue.text) / READING - 1e-9
    assert all(one.end < other.start for one, other in pairwise(cues))
    assert cues[-1].end <= until


def test_slower_music_leaves_room_for_more() -> None:
    counts = []
    for tempo in (186.0, 93.0, 46.5):
        tune = TUNE.at_tempo(tempo)
        cues = make_cues(tune, READ, tune.seconds, tune.seconds(tune.chart.length))
        counts.append(sum(cue.text in {sentence.text for sentence in READ.sentences} for cue in cues))
    assert counts[0] < counts[1] < counts[2]


def test_the_choice_is_the_best_there_is() -> None:
    """Against trying every set, on a handful of sentences."""
    few = type(READ)(READ.notes, READ.targets, (), 0, READ.sentences[:9])
    chosen = make_cues(TUNE, few, TUNE.seconds, TUNE.seconds(TUNE.chart.length))

    def end(text: str, start: float) -> float:
        return start + max(SHORTEST, len(text) / READING)

    best = 0
    for size in range(1, 10):
        for some in combinations(few.sentences, size):
            spans = [(TUNE.seconds(each.start), end(each.text, TUNE.seconds(each.start))) for each in some]
            if all(one[1] + 0.08 <= other[0] for one, other in pairwise(spans)):
                best = max(best, size)
    assert len(chosen) == best


@given(st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "Zs")), min_size=1, max_size=200))
def test_lines_are_broken_between_words_only(text: str) -> None:
    assert broken(text).split() == text.split() or max(map(len, text.split())) > LINE


def test_a_file_of_captions() -> None:
    cues = [Cue(1.0, 2.5, "C♯–G <3 & ♭7>", Time(0)), Cue(3725.04, 3727.0, "End", Time(9))]
    assert write_vtt(cues) == (
        "WEBVTT\n\n1\n00:00:01.000 --> 00:00:02.500\nC♯–G &lt;3 &amp; ♭7&gt;\n\n"
        "2\n01:02:05.040 --> 01:02:07.000\nEnd\n"
    )
