"""MIDI against its published facts, and our files as music21 reads them.

Sources: ISO 16:1975 (A4 is 440 Hz); MIDI 1.0 (note 69 is A4, the wheel rests at 8192, RPN 0 is the
bend range); Standard MIDI Files 1.0 (variable-length quantities with its table of examples, running
status, the example file of its appendix). What is quoted from them is from memory; the lengths that
the files state confirm it.
"""

from __future__ import annotations

import io
import warnings
from fractions import Fraction

import mido
import pytest

from solowright.files.midi import read_midi, write_midi
from solowright.music.chart import Bar, Chart, Section
from solowright.music.line import Bend, Note, make_line
from solowright.music.pitch import plain
from solowright.music.time import SWING, Meter, TempoMap
from solowright.music.tune import STANDARD_TUNING, Tune

# The example of the appendix as format 0, 96 ticks a quarter: E5 on beat 3, G4 on beat 2, C3 and C4.
EXAMPLE = bytes.fromhex(
    "4D546864 00000006 0000 0001 0060"
    "4D54726B 0000003B"
    "00 FF5804 04021808  00 FF5103 07A120  00 C005  00 C12E  00 C246"
    "00 923060  00 3C60  60 914340  60 904C20"
    "8140 823040  00 3C40  00 814340  00 804C40  00 FF2F00"
)

# Standard MIDI Files 1.0: numbers and their representation as variable-length quantities.
QUANTITIES = {
    0x00: "00", 0x40: "40", 0x7F: "7F", 0x80: "8100", 0x2000: "C000", 0x3FFF: "FF7F", 0x4000: "818000",
    0x100000: "C08000", 0x1FFFFF: "FFFF7F", 0x200000: "81808000", 0x8000000: "C0808000",
}  # fmt: skip


def sounds(tune: Tune) -> list[tuple[int, Fraction, Fraction]]:
    return [(note.pitch.midi, note.onset, note.duration) for note in tune.line.notes]


def test_the_example_of_the_standard() -> None:
    assert sounds(read_midi(EXAMPLE, "x.mid", part="channel 1")) == [(76, 2, 2)]
    assert sounds(read_midi(EXAMPLE, "x.mid", part="channel 2")) == [(67, 1, 3)]
    tune = read_midi(EXAMPLE, "x.mid", part="channel 3")
    assert sounds(tune) == [(60, 0, 4), (48, 0, 4)]
    assert (tune.tempo.first, tune.chart.bars) == (120, (Bar(Meter(4, 4)),))


@pytest.mark.parametrize(("number", "written"), QUANTITIES.items())
def test_variable_length_quantities(number: int, written: str) -> None:
    body = bytes.fromhex(written) + bytes.fromhex("904060 60 804000 00FF2F00")
    head = bytes.fromhex("4D546864 00000006 0000 0001 7FFF 4D54726B")
    tune = read_midi(head + len(body).to_bytes(4) + body, "x.mid")
    exact = Fraction(number, 0x7FFF)
    assert abs(tune.line.notes[0].onset - exact) <= Fraction(1, 8)


def test_note_numbers_and_frequencies_of_the_open_strings() -> None:
    notes = [Note(plain(midi), Fraction(i), Fraction(1)) for i, midi in enumerate(STANDARD_TUNING)]
    tune = read_midi(write_midi(Tune("", Chart((Section("", (Bar(), Bar())),)), make_line(notes))), "x.mid")
    heard = [note.pitch.hertz for note in tune.line.notes]
    assert heard == pytest.approx([329.63, 246.94, 196.00, 146.83, 110.00, 82.41], abs=0.005)
    assert plain(69).hertz == 440


def test_bend_range_and_wheel_as_the_standard_writes_them() -> None:
    note = Note(plain(64), Fraction(0), Fraction(1), bends=(Bend(Fraction(12)),))
    data = write_midi(Tune("", Chart((Section("", (Bar(),)),)), make_line([note])))
    # On channel 2: RPN 0 selected, 12 semitones, 0 cents, no parameter selected.
    assert bytes.fromhex("B16500 006400 00060C 002600 00657F 00647F") in data
    assert bytes.fromhex("E10040") in data  # the wheel at rest: 0x2000, low seven bits first
    wheel = [
        message.pitch
        for message in mido.MidiFile(file=io.BytesIO(data)).tracks[1]
        if message.type == "pitchwheel"
    ]
    assert (wheel[0], max(wheel), wheel[-1]) == (0, 8191, 0)  # an octave up at its top


def test_music21_reads_the_notes_we_write() -> None:
    music21 = pytest.importorskip("music21")
    chart = Chart((Section("A", (Bar(), Bar(Meter(3, 4)), Bar(Meter(6, 8)), Bar())),))
    places = [(Fraction(k, 4), Fraction(1, 4)) for k in range(8)]
    places += [(2 + Fraction(k, 3), Fraction(1, 3)) for k in range(6)]
    places += [(4 + Fraction(k, 2), Fraction(1, 2)) for k in range(12)] + [(Fraction(10), Fraction(4))]
    notes = [Note(plain(52 + 5 * i % 24), onset, length) for i, (onset, length) in enumerate(places)]
    notes.append(Note(plain(40), Fraction(10), Fraction(4)))
    tempo = TempoMap(((Fraction(0), 96.0), (Fraction(7), 132.0)))
    data = write_midi(Tune("Test", chart, make_line(notes), tempo=tempo))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        score = music21.converter.parseData(data, format="midi")
    theirs = sorted(
        (pitch.midi, Fraction(note.offset).limit_denominator(96), Fraction(note.quarterLength))
        for note in score.flatten().stripTies().notes
        for pitch in note.pitches
    )
    assert theirs == sorted((note.pitch.midi, note.onset, note.duration) for note in notes)
    meters = score.recurse().getElementsByClass(music21.meter.TimeSignature)
    assert [meter.ratioString for meter in meters][:4] == ["4/4", "3/4", "6/8", "4/4"]
    marks = score.recurse().getElementsByClass(music21.tempo.MetronomeMark)
    assert [(mark.getOffsetInHierarchy(score), round(mark.number, 1)) for mark in marks] == [
        (0, 96),
        (7, 132),
    ]


def test_swung_eighths_sound_two_to_one() -> None:
    notes = [Note(plain(60 + i), Fraction(i, 2), Fraction(1, 2)) for i in range(4)]
    data = write_midi(Tune("", Chart((Section("", (Bar(),)),)), make_line(notes), feel=SWING))
    file = mido.MidiFile(file=io.BytesIO(data))
    now, starts = 0, []
    for message in file.tracks[1]:
        now += message.time
        if message.type == "note_on":
            starts.append(Fraction(now, file.ticks_per_beat))
    assert starts == [0, Fraction(2, 3), 1, Fraction(5, 3)]
