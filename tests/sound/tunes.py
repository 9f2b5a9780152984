"""Small invented tunes for the sound's tests."""

from __future__ import annotations

from fractions import Fraction

from solowright.music.chart import Bar, Chart, ChordAt, Section
from solowright.music.chord import parse_chord
from solowright.music.line import Note, make_line
from solowright.music.pitch import plain
from solowright.music.time import STRAIGHT, Feel, Meter, steady
from solowright.music.tune import Tune

F = Fraction


def bar(*symbols: str, meter: Meter = Meter(), **what: object) -> Bar:  # noqa: B008
    """A bar whose chords share it equally; ``N.C.`` for none."""
    share = meter.length / max(1, len(symbols))
    chords = [None if symbol == "N.C." else parse_chord(symbol) for symbol in symbols]
    changes = tuple(ChordAt(share * n, chord) for n, chord in enumerate(chords))
    return Bar(meter=meter, chords=changes, **what)  # type: ignore[arg-type]


def note(midi: int, onset: object, length: object, **how: object) -> Note:
    return Note(plain(midi), F(onset), F(length), **how)  # type: ignore[arg-type]


def tune(
    bars: list[Bar],
    notes: list[Note] | None = None,
    *,
    tempo: float = 120,
    feel: Feel = STRAIGHT,
    pickup: bool = False,
) -> Tune:
    chart = Chart((Section("A", tuple(bars)),), pickup=pickup)
    return Tune("an invented tune", chart, make_line(notes or []), feel=feel, tempo=steady(tempo))


def vamp(count: int, notes: list[Note] | None = None, **how: object) -> Tune:
    return tune([bar("A7") for _ in range(count)], notes, **how)  # type: ignore[arg-type]
