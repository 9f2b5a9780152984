"""Small tunes typed in one line, for the tests of the reading."""

from __future__ import annotations

from fractions import Fraction

from solowright.harmony import Device, read_line
from solowright.music.chart import Bar, Chart, ChordAt, Section
from solowright.music.chord import parse_chord
from solowright.music.line import Line, Note, make_line
from solowright.music.pitch import parse_pitch, parse_tone
from solowright.music.tune import Key, Tune


def type_chart(text: str) -> Chart:
    """``"Am7 | D7 G7 | % "``: bars of 4/4, chords sharing a bar evenly, ``-`` for no chord."""
    bars = []
    for typed in text.split("|"):
        names = typed.split()
        share = Fraction(4, len(names))
        chords = [
            ChordAt(share * place, None if name == "-" else parse_chord(name))
            for place, name in enumerate(names)
            if name != "%"
        ]
        bars.append(Bar(chords=tuple(chords)))
    return Chart((Section("A", tuple(bars)),))


def type_line(text: str, value: Fraction | str = Fraction(1, 2), start: int = 0) -> Line:
    """``"C4 E4:1 r:1/2 G4+B4"``: pitches with a length in quarters where it isn't ``value``, ``r``
    rests, ``+`` joins notes struck together, ``~`` before a pitch makes it a grace note."""
    notes = []
    onset = Fraction(start)
    for word in text.split():
        names, _, length = word.partition(":")
        duration = Fraction(length or value)
        if names.startswith("~"):
            notes.append(Note(parse_pitch(names[1:]), onset, Fraction(0)))
            continue
        notes += [Note(parse_pitch(name), onset, duration) for name in names.split("+") if name != "r"]
        onset += duration
    return make_line(notes)


def type_tune(chart: str, line: str, value: Fraction | str = Fraction(1, 2), key: str = "C") -> Tune:
    """A tune in 4/4 from a typed chart and line."""
    tonic = parse_tone(key.removesuffix("m"))
    return Tune("", type_chart(chart), type_line(line, value), key=Key(tonic, key.endswith("m")))


def devices(chart: str, line: str, key: str = "C", value: Fraction | str = Fraction(1, 2)) -> list[Device]:
    """The devices found in a typed tune."""
    return list(read_line(type_tune(chart, line, value, key)).devices)


def only(chart: str, line: str, key: str = "C", value: Fraction | str = Fraction(1, 2)) -> Device:
    """The one device of a typed tune."""
    found = devices(chart, line, key, value)
    assert len(found) == 1, found
    return found[0]
