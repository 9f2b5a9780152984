"""ABC inside a sheet: what is written is read back without loss, and what doesn't fit is named."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.errors import FileError
from solowright.files.abc import read_abc_body, write_abc_body
from solowright.music.chart import Bar, Chart, ChordAt, Section
from solowright.music.chord import parse_chord
from solowright.music.line import ENTRIES, Bend, Line, Note, make_line
from solowright.music.pitch import Pitch, Tone, parse_pitch
from solowright.music.time import Meter
from solowright.music.tune import Key, Tune

KEYS = [Key(Tone(0)), Key(Tone(1)), Key(Tone(6, -1)), Key(Tone(3, 1), minor=True), Key(Tone(2, -1), minor=True)]
PICKUP = Bar(short=Fraction(1))
CHARTS = [
    Chart((Section("", (Bar(),) * 6),)),
    Chart((Section("", (PICKUP, *(Bar(Meter(3, 4)),) * 4)),), pickup=True),
    Chart((Section("A", (Bar(Meter(6, 8)), Bar(Meter(7, 8)))), Section("B", (Bar(),), times=2))),
]


def read(text: str, chart: Chart = CHARTS[0], key: Key = KEYS[0], unit: Fraction = Fraction(1, 2)) -> Line:
    return read_abc_body(text, file="line.solo", first_line=1, chart=chart, key=key, unit=unit)


def seen(text: str, **rest: object) -> list[tuple[str, Fraction, Fraction]]:
    notes = read(text, **rest).notes  # type: ignore[arg-type]
    return [(note.pitch.name, note.onset, note.duration) for note in notes]


pitches = st.builds(Pitch, st.builds(Tone, st.integers(0, 6), st.integers(-3, 3)), st.integers(1, 6))
bends = st.builds(Bend, st.fractions(0, 4, max_denominator=4), st.sampled_from(["bend", "release", "prebend"]))
flags = st.dictionaries(
    st.sampled_from(
        ["vibrato", "dead", "palm_mute", "let_ring", "accent", "staccato", "slurred"]), st.just(True), max_size=3
)  # fmt: skip
extras = st.fixed_dictionaries(
    {},
    optional={
        "string": st.integers(1, 6),
        "fret": st.integers(0, 24),
        "finger": st.integers(0, 4),
        "entry": st.sampled_from(ENTRIES),
        "stroke": st.sampled_from(["down", "up"]),
        "bends": st.lists(bends, max_size=3).map(tuple),
        "slide_from": st.sampled_from([-5, -2, 3]),
        "slide_to": st.sampled_from([-5, 2]),
        "trill": st.integers(1, 4),
    },
)


@st.composite
def tunes(draw: st.DrawFn) -> Tune:
    """Any line over one of the charts: chords, overlaps, graces, odd tuplets and all marks."""
    chart = draw(st.sampled_from(CHARTS))
    grid = st.sampled_from([Fraction(1, 4), Fraction(1, 2), Fraction(1, 3), Fraction(1, 6), Fraction(1, 5), Fraction(1, 8), Fraction(2, 7)])
    notes = []
    for _ in range(draw(st.integers(0, 14))):
        step = draw(grid)
        onset = draw(st.integers(0, int(chart.length / step))) * step
        duration = min(draw(st.integers(0, 9)) * step, chart.length - onset)
        plain = Note(draw(pitches), onset, duration)
        notes.append(replace(plain, **draw(extras), **draw(flags)))
        if draw(st.booleans()):
            notes.append(replace(plain, pitch=draw(pitches), slurred=draw(st.booleans())))
    return Tune("", chart, make_line(notes), key=draw(st.sampled_from(KEYS)))


@settings(max_examples=250, deadline=None)
@given(tunes(), st.sampled_from([Fraction(1, 2), Fraction(1), Fraction(1, 4)]))
def test_what_is_written_is_read_back(tune: Tune, unit: Fraction) -> None:
    assert read(write_abc_body(tune, unit), tune.chart, tune.key, unit) == tune.line


def test_a_plain_line_looks_as_musicians_type_it() -> None:
    notes = [Note(parse_pitch(name), Fraction(i, 2), Fraction(1, 2)) for i, name in enumerate(["A4", "C5", "E5", "G5"])]
    notes += [Note(parse_pitch(name), 2 + Fraction(i, 3), Fraction(1, 3)) for i, name in enumerate(["F#5", "E5", "D5"])]
    notes += [Note(parse_pitch("C#5"), Fraction(3), Fraction(2), slurred=True)]
    notes += [Note(parse_pitch("E2"), Fraction(5), Fraction(3))]
    tune = Tune("", CHARTS[0], make_line(notes), key=Key(Tone(4)))
    assert write_abc_body(tune) == "| Ac eg (3fe(d ^c2- | ^c2) E,,6 |"
