"""A line over a chart that isn't its own: what scores on the right chart must be measured against."""

from __future__ import annotations

from dataclasses import replace

from solowright.music.chart import Bar
from solowright.music.chord import transpose_chord
from solowright.music.pitch import Interval, plain_interval
from solowright.music.tune import Tune


def move_chart(tune: Tune, semitones: int) -> Tune:
    """The same line over its chart moved by so many half steps: a wrong chart of the same kind."""
    interval = plain_interval(semitones)
    sections = tuple(
        replace(section, bars=tuple(_move_bar(bar, interval) for bar in section.bars))
        for section in tune.chart.sections
    )
    return replace(tune, chart=replace(tune.chart, sections=sections))


def _move_bar(bar: Bar, interval: Interval) -> Bar:
    chords = (
        replace(change, chord=change.chord and transpose_chord(change.chord, interval))
        for change in bar.chords
    )
    return replace(bar, chords=tuple(chords))
