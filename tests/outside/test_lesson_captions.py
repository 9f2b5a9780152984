"""WebVTT against a reader that isn't ours: ``webvtt-py`` (PyPI, MIT), which follows the W3C's WebVTT."""

from __future__ import annotations

from io import StringIO

import pytest

from solowright.demo import bundled_tune
from solowright.harmony import read_line
from solowright.lesson.captions import make_cues, write_vtt

webvtt = pytest.importorskip("webvtt", reason="webvtt-py is not installed")


@pytest.mark.parametrize("tempo", [186.0, 60.0])
def test_another_reader_finds_the_same_captions(tempo: float) -> None:
    tune = bundled_tune().at_tempo(tempo)
    cues = make_cues(tune, read_line(tune), tune.seconds, tune.seconds(tune.chart.length))
    captions = list(webvtt.from_buffer(StringIO(write_vtt(cues))))
    assert len(captions) == len(cues) > 5
    for caption, cue in zip(captions, cues, strict=True):
        assert caption.start_in_seconds == pytest.approx(int(cue.start), abs=1)
        assert clock(caption.start) == pytest.approx(cue.start, abs=0.0006)
        assert clock(caption.end) == pytest.approx(cue.end, abs=0.0006)
        assert caption.text.replace("&amp;", "&").split() == cue.text.split()


def clock(text: str) -> float:
    hours, minutes, seconds = text.split(":")
    return 3600 * int(hours) + 60 * int(minutes) + float(seconds)
