"""Small tunes for the tests of the form: sections typed as chords and notes, and random ones."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from hypothesis import strategies as st

from solowright.form import Arc, work_out_arc
from solowright.harmony import read_line
from solowright.music.chart import Bar, Chart, ChordAt, Section
from solowright.music.chord import parse_chord
from solowright.music.line import Note, make_line
from solowright.music.pitch import plain
from solowright.music.time import SWING, steady
from solowright.music.tune import Tune
from solowright.neck import finger
from tests.harmony.tunes import type_line

LENGTHS = (Fraction(1, 3), Fraction(1, 2), Fraction(1, 2), Fraction(1), Fraction(4))
SYMBOLS = ("A7", "D7", "Em7", "Fmaj7", "B7", "C#m7b5", "E7", "Dm7", "Gmaj7")


def bars(text: str, **more) -> tuple[Bar, ...]:
    """``"A7 D7"``: a bar of 4/4 on each chord."""
    return tuple(
        Bar(chords=(ChordAt(Fraction(0), parse_chord(name)),), **more) for name in text.split()
    )


def tune_of(sections: list[tuple[str, tuple[Bar, ...]]], line: str = "", bpm: float = 120) -> Tune:
    """Sections with a line typed as ``type_line`` has it."""
    chart = Chart(tuple(Section(name, row) for name, row in sections))
    return Tune("Test", chart, type_line(line), tempo=steady(bpm))


def arc_of(tune: Tune, **more) -> Arc:
    return work_out_arc(tune, finger(tune), read_line(tune), **more)


@st.composite
def any_solo(draw: st.DrawFn) -> Tune:
    """One to four sections of one to four bars with what a band does, and a line of notes and rests."""
    sections = []
    for _ in range(draw(st.integers(1, 4))):
        row = []
        for _ in range(draw(st.integers(1, 4))):
            hits = tuple(sorted(draw(st.sets(st.integers(0, 7), max_size=3))))
            chord = ChordAt(Fraction(0), parse_chord(draw(st.sampled_from(SYMBOLS))))
            row.append(
                Bar(
                    chords=(chord,), hits=tuple(Fraction(hit, 2) for hit in hits),
                    pause=draw(st.booleans()) and not hits, answered=draw(st.booleans()),
                )
            )  # fmt: skip
        name = draw(st.sampled_from(("Vamp", "Bridge", "Shout", "Ending", "", "A rather long name")))
        sections.append(Section(name, tuple(row), draw(st.integers(1, 2))))
    chart = Chart(tuple(sections), pickup=draw(st.booleans()) and len(sections) > 1)
    notes, onset, midi = [], Fraction(0), 60
    while onset < chart.length:
        length = min(draw(st.sampled_from(LENGTHS)), chart.length - onset)
        midi = min(76, max(48, midi + draw(st.integers(-5, 5))))
        if draw(st.integers(0, 4)):
            notes.append(Note(plain(midi), onset, length))
            if not draw(st.integers(0, 5)) and midi >= 56:
                notes.append(Note(plain(midi - 5), onset, length))
        onset += length
    tune = Tune("Any", chart, make_line(notes), tempo=steady(draw(st.sampled_from((60, 120, 180)))))
    return replace(tune, feel=SWING) if draw(st.booleans()) else tune
