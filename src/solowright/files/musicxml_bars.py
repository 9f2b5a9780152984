"""One part of a MusicXML score as written: its bars with notes, chords, signs and directions.

Times are quarters from the start of the bar. Nothing is played out here: repeats, ties and slurs are
still marks. What can't be read is collected with its place; reading goes on behind it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from fractions import Fraction

from lxml import etree

from solowright.errors import InputError
from solowright.files.musicxml_directions import Direction, read_barline, read_direction
from solowright.files.musicxml_harmony import read_harmony
from solowright.files.musicxml_notes import (
    UNISON,
    WrittenNote,
    read_integer,
    read_length,
    read_note,
    read_number,
    read_pitch,
)
from solowright.files.musicxml_source import Measure, Part, Source, one_line
from solowright.files.repeats import Signs
from solowright.files.text import Report
from solowright.music.chart import ChordAt
from solowright.music.chord import Chord, transpose_chord
from solowright.music.pitch import Interval, plain_interval
from solowright.music.time import ZERO, Meter, Time
from solowright.music.tune import STANDARD_TUNING

_MAX_BAR = 1000  # quarters


@dataclass(frozen=True, slots=True)
class WrittenBar:
    """A bar as written. ``full`` tells that it holds content of its own (notes or rests)."""

    number: str
    implicit: bool
    meter: Meter
    length: Time
    full: bool
    notes: tuple[WrittenNote, ...]
    chords: tuple[ChordAt, ...]
    signs: Signs
    direction: Direction
    fifths: int
    mode: str
    transpose: Interval


@dataclass(frozen=True, slots=True)
class WrittenPart:
    """A part's bars, and what its staves and strings are."""

    part: Part
    bars: tuple[WrittenBar, ...]
    tab_staves: frozenset[int]
    percussion: bool
    tuning: tuple[int, ...]
    capo: int


@dataclass
class _State:
    """What holds from bar to bar while a part is read."""

    divisions: Fraction = Fraction(1)
    meter: Meter = field(default_factory=Meter)
    fifths: int = 0
    mode: str = "major"
    transposes: dict[int, Interval] = field(default_factory=dict)
    tab: set[int] = field(default_factory=set)
    percussion: set[int] = field(default_factory=set)
    strings: dict[int, int] = field(default_factory=dict)  # staff line (1 is the lowest) to MIDI
    capo: int = 0
    simile: int = 0  # how many bars a repeat sign in the bar stands for

    def transpose(self, staff: int) -> Interval:
        return self.transposes.get(staff, self.transposes.get(0, UNISON))

    @property
    def tuning(self) -> tuple[int, ...]:
        if not self.strings:
            return STANDARD_TUNING
        return tuple(self.strings[line] for line in sorted(self.strings, reverse=True))


def read_bars(part: Part, source: Source, report: Report, with_notes: bool = True) -> WrittenPart:
    """Reads a part bar by bar, noting problems in the report and going on.

    Without its notes where only chords and directions are wanted.
    """
    state = _State()
    bars: list[WrittenBar] = []
    for count, measure in enumerate(part.measures, 1):
        reader = _BarReader(state, measure, measure.number or str(count), with_notes)
        bar = reader.read()
        for element, text in reader.wrong:
            line, column = source.locate(element)
            report.add(line, column, one_line(f"bar {bar.number}: {text}"))
        if state.simile and not bar.notes and len(bars) >= state.simile:
            bar = _repeat_bar(bar, bars[-state.simile])
        bars.append(bar)
    return WrittenPart(
        part, tuple(bars), frozenset(state.tab), bool(state.percussion - state.tab) and not state.tab,
        state.tuning, state.capo,
    )  # fmt: skip


def _repeat_bar(bar: WrittenBar, model: WrittenBar) -> WrittenBar:
    """A bar that only shows a repeat sign: filled with what it repeats."""
    return replace(bar, notes=model.notes, chords=bar.chords or model.chords)


class _BarReader:
    """Walks the elements of one measure with a cursor, as MusicXML is laid out."""

    def __init__(self, state: _State, measure: Measure, number: str, with_notes: bool) -> None:
        self.state, self.measure, self.number, self.with_notes = state, measure, number, with_notes
        self.wrong: list[tuple[etree._Element, str]] = []
        self.cursor = self.previous = self.end = ZERO
        self.notes: list[WrittenNote] = []
        self.chords: dict[Time, ChordAt] = {}
        self.stacked: list[Chord | None] = []  # chords at the cursor, waiting for the note they are over
        self.signs = Signs(number)
        self.direction = Direction()

    def read(self) -> WrittenBar:
        for element in self.measure.element.iterchildren(etree.Element):
            reader = _READERS.get(str(element.tag))
            if reader is None:
                continue
            try:
                reader(self, element)
            except InputError as error:
                self.wrong.append((element, str(error)))
        state = self.state
        self.lay_chords((self.end or state.meter.length) - self.cursor)
        if self.end > _MAX_BAR:
            self.wrong.append((self.measure.element, f"the bar is longer than {_MAX_BAR} beats"))
            self.end = ZERO
        return WrittenBar(
            self.number, self.measure.implicit, state.meter, self.end or state.meter.length, self.end > 0,
            tuple(self.notes), tuple(self.chords[offset] for offset in sorted(self.chords)), self.signs,
            self.direction, state.fifths, state.mode, state.transpose(1),
        )  # fmt: skip

    def move(self, to: Time) -> None:
        self.lay_chords(to - self.cursor)
        self.cursor = to
        self.end = max(self.end, to)

    def lay_chords(self, length: Time) -> None:
        """Puts the waiting chords over what is ``length`` long.

        Several chords in front of one note share it evenly: so lead sheets write a change under a
        held note whose place the file doesn't tell.
        """
        share = max(length, ZERO) / max(1, len(self.stacked))
        for index, chord in enumerate(self.stacked):
            offset = self.cursor + index * share
            self.chords[offset] = ChordAt(offset, chord)
        self.stacked = []

    def note(self, element: etree._Element) -> None:
        grace = element.find("grace") is not None
        rest = element.find("rest")
        if grace:
            length = ZERO
        elif rest is not None and rest.get("measure") == "yes" and element.find("duration") is None:
            length = self.state.meter.length
        else:
            length = read_length(element, self.state.divisions)
        onset = self.previous if element.find("chord") is not None else self.cursor
        if element.find("chord") is None:
            self.previous = onset
            self.move(onset + length)
        else:
            self.end = max(self.end, onset + length)
        silent = rest is not None or element.find("cue") is not None or not (length or grace)
        if silent or not self.with_notes:
            return
        if (element.findtext("notehead") or "").strip() == "slash":
            return  # a rhythm for the band to strike, no pitch of the line
        written = element.find("pitch")
        if written is None:
            if element.find("unpitched") is None:
                raise InputError("a note has neither pitch nor rest")
            return
        staff = read_integer(element.findtext("staff") or "1", "staff")
        pitch = read_pitch(written, self.state.transpose(staff))
        open_strings = tuple(midi + self.state.capo for midi in self.state.tuning)
        self.notes.append(read_note(element, pitch, onset, length, self.state.fifths, open_strings))

    def backup(self, element: etree._Element) -> None:
        length = read_number(element.findtext("duration"), "duration") / self.state.divisions
        # Rounded tuplets may overshoot the start of the bar by a hair.
        if length - self.cursor > Fraction(1, 8):
            raise InputError("a voice goes back to before its bar begins; check the durations in this bar")
        self.move(max(ZERO, self.cursor - length))

    def forward(self, element: etree._Element) -> None:
        self.move(self.cursor + read_number(element.findtext("duration"), "duration") / self.state.divisions)

    def harmony(self, element: etree._Element) -> None:
        if element.get("type") == "alternate":
            return
        chord = read_harmony(element)
        transpose = self.state.transpose(1)
        if chord is not None and transpose != UNISON:
            chord = transpose_chord(chord, transpose)
        moved = self.offset(element)
        if moved:
            offset = max(ZERO, self.cursor + moved)
            self.chords[offset] = ChordAt(offset, chord)
        elif self.stacked[-1:] != [chord]:
            self.stacked.append(chord)

    def offset(self, element: etree._Element) -> Time:
        text = element.findtext("offset")
        return ZERO if text is None else read_number(text, "offset") / self.state.divisions

    def directions(self, element: etree._Element) -> None:
        at = max(ZERO, self.cursor + self.offset(element))
        self.direction, self.signs, silent = read_direction(element, at, self.direction, self.signs)
        if silent:
            self.chords[at] = ChordAt(at, None)

    def barline(self, element: etree._Element) -> None:
        self.signs = read_barline(element, self.signs)

    def attributes(self, element: etree._Element) -> None:
        for child in element.iterchildren(etree.Element):
            try:
                self.attribute(child)
            except InputError as error:
                self.wrong.append((child, str(error)))

    def attribute(self, element: etree._Element) -> None:
        state, tag = self.state, str(element.tag)
        if tag == "divisions":
            divisions = read_number(element.text, "divisions")
            if divisions <= 0:
                raise InputError("divisions must be more than 0")
            state.divisions = divisions
        elif tag == "time":
            state.meter = _read_meter(element)
        elif tag == "key" and element.find("fifths") is not None:
            state.fifths = read_integer(element.findtext("fifths"), "fifths")
            if abs(state.fifths) > 7:
                raise InputError(f"a key of {abs(state.fifths)} sharps or flats is not in use")
            state.mode = (element.findtext("mode") or "major").strip().lower()
        elif tag == "transpose":
            state.transposes[read_integer(element.get("number", "0"), "number")] = _read_transpose(element)
        elif tag == "clef":
            _read_clef(element, state)
        elif tag == "staff-details":
            _read_strings(element, state)
        elif tag == "measure-style" and element.find("measure-repeat") is not None:
            sign = element.find("measure-repeat")
            assert sign is not None
            starts = sign.get("type") != "stop"
            state.simile = read_integer(sign.text or "1", "measure-repeat") if starts else 0


_READERS = {
    "note": _BarReader.note, "backup": _BarReader.backup, "forward": _BarReader.forward,
    "harmony": _BarReader.harmony, "direction": _BarReader.directions, "sound": _BarReader.directions,
    "barline": _BarReader.barline, "attributes": _BarReader.attributes,
}  # fmt: skip


def _read_meter(element: etree._Element) -> Meter:
    if element.find("senza-misura") is not None:
        raise InputError("a bar without a meter (senza misura) can't be counted; give it a time signature")
    beats, units = element.findall("beats"), element.findall("beat-type")
    if not beats or len(beats) != len(units):
        raise InputError("the time signature needs beats and a beat type")
    pairs = [
        (sum(map(int, re.findall(r"\d{1,3}", top.text or ""))), read_integer(bottom.text, "beat-type"))
        for top, bottom in zip(beats, units, strict=True)
    ]
    unit = max(bottom for _, bottom in pairs)
    if any(bottom not in (1, 2, 4, 8, 16, 32, 64) or not 1 <= top <= 128 for top, bottom in pairs):
        top, bottom = pairs[0]
        raise InputError(f"'{top}/{bottom}' is not a time signature; write one such as 4/4 or 6/8")
    return Meter(sum(top * (unit // bottom) for top, bottom in pairs), unit)


def _read_transpose(element: etree._Element) -> Interval:
    semitones = read_integer(element.findtext("chromatic") or "0", "chromatic")
    octaves = read_integer(element.findtext("octave-change") or "0", "octave-change")
    if abs(semitones) > 48 or abs(octaves) > 8:
        raise InputError("the transposition is wider than any instrument's")
    diatonic = element.findtext("diatonic")
    plain = plain_interval(semitones)
    steps = plain.steps if diatonic is None else read_integer(diatonic, "diatonic")
    return Interval(steps + 7 * octaves, semitones + 12 * octaves)


def _read_clef(element: etree._Element, state: _State) -> None:
    staff = read_integer(element.get("number", "1"), "clef number")
    sign = (element.findtext("sign") or "").strip()
    if sign == "TAB":
        state.tab.add(staff)
    elif sign == "percussion":
        state.percussion.add(staff)


def _read_strings(element: etree._Element, state: _State) -> None:
    """Tuning and capo of a tablature staff."""
    for string in element.iterfind("staff-tuning"):
        line = read_integer(string.get("line"), "staff-tuning line")
        step = (string.findtext("tuning-step") or "").strip()
        alter, octave = string.findtext("tuning-alter") or "0", string.findtext("tuning-octave") or ""
        pitch = etree.Element("pitch")
        for tag, text in (("step", step), ("alter", alter), ("octave", octave)):
            etree.SubElement(pitch, tag).text = text
        state.strings[line] = read_pitch(pitch, UNISON).midi
    capo = element.findtext("capo")
    if capo is not None:
        state.capo = read_integer(capo, "capo")
        if not 0 <= state.capo <= 24:
            raise InputError(f"a capo at fret {state.capo} is not on the neck")
