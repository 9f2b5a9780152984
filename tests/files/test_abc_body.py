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

KEYS = [
    Key(Tone(0)),
    Key(Tone(1)),
    Key(Tone(6, -1)),
    Key(Tone(3, 1), minor=True),
    Key(Tone(2, -1), minor=True),
]
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
bends = st.builds(
    Bend, st.fractions(0, 4, max_denominator=4), st.sampled_from(["bend", "release", "prebend"])
)
FLAGS = ["vibrato", "dead", "palm_mute", "let_ring", "accent", "staccato", "slurred"]
flags = st.dictionaries(st.sampled_from(FLAGS), st.just(True), max_size=3)
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
    grid = st.sampled_from(
        [
            Fraction(1, 4),
            Fraction(1, 2),
            Fraction(1, 3),
            Fraction(1, 6),
            Fraction(1, 5),
            Fraction(1, 8),
            Fraction(2, 7),
        ]
    )
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


@settings(max_examples=80, deadline=None)
@given(tunes(), st.sampled_from([Fraction(1, 2), Fraction(1), Fraction(1, 4)]))
def test_what_is_written_is_read_back(tune: Tune, unit: Fraction) -> None:
    assert read(write_abc_body(tune, unit), tune.chart, tune.key, unit) == tune.line


def test_a_plain_line_looks_as_musicians_type_it() -> None:
    half, third = Fraction(1, 2), Fraction(1, 3)
    notes = [Note(parse_pitch(name), i * half, half) for i, name in enumerate(["A4", "C5", "E5", "G5"])]
    notes += [Note(parse_pitch(name), 2 + i * third, third) for i, name in enumerate(["F#5", "E5", "D5"])]
    notes += [Note(parse_pitch("C#5"), Fraction(3), Fraction(2), slurred=True)]
    notes += [Note(parse_pitch("E2"), Fraction(5), Fraction(3))]
    tune = Tune("", CHARTS[0], make_line(notes), key=Key(Tone(4)))
    assert write_abc_body(tune) == "| Ac eg (3fe(d ^c2- | ^c2) E,,6 |"


def refusals(text: str, chart: Chart = CHARTS[0], first_line: int = 20) -> list[str]:
    with pytest.raises(FileError) as caught:
        read_abc_body(text, file="my.solo", first_line=first_line, chart=chart, key=KEYS[0])
    return [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("| C8 | D9 |", "my.solo:20:8: bar 2 holds 4 1/2 quarters where the chart has 4 quarters"),
        ("| C8\n| D7 |", "my.solo:21:3: bar 2 holds 3 1/2 quarters"),
        ("| C8 & D7 |", "bar 1 holds 3 1/2 quarters"),
        ("| !hamer!C8 |", "my.solo:20:3: the mark '!hamer!' is not known"),
        ("| !string=0!C8 |", "my.solo:20:3: the mark '!string=0!' is not known"),
        ("|: C8 :|", "repeats stand in the chart"),
        ("| [K:D]C8 |", "a field has no place in a sheet's line"),
        ("| C8 | Z | Z | Z | Z | [C8E9] |", "E4 at bar 6 beat 1 rings over the chart's end"),
        ("| C8- | D8 |", "the tie at bar 1 beat 1 leads to no note"),
        ("| (C8 | D8 |", "my.solo:20:3: this slur is never closed"),
        ('| "Dm7"C8 |', "the line says Dm7, the chart N.C."),
        ('| "Hm7"C8 |', "'Hm7' is not a chord"),
        ("| C8 | C8 | C8 | C8 | C8 | C8 | C8 |", "my.solo:20:33: the line goes on after the chart's 6 bars"),
    ],
)
def test_what_does_not_fit_the_chart_is_named(text: str, says: str) -> None:
    assert says in refusals(text)[0]


def test_a_line_may_end_before_its_chart_and_repeat_its_chords() -> None:
    chord = ChordAt(Fraction(0), parse_chord("Dm7"))
    chart = Chart((Section("", (Bar(chords=(chord,)), Bar())),))
    assert seen('| "Dm7""^push"D8 |', chart=chart) == [("D4", 0, 4)]
    assert seen("", chart=chart) == []
    assert seen("| Z | D8", chart=chart) == [("D4", 4, 4)]


def test_a_pickup_is_as_long_as_the_chart_s() -> None:
    assert seen("| C2 | D6 |", chart=CHARTS[1]) == [("C4", 0, 1), ("D4", 1, 3)]
    assert seen("| Z | D6 |", chart=CHARTS[1]) == [("D4", 1, 3)]
