"""Symbols on a staff as ``<note>`` elements, in the order that the MusicXML 4.0 schema wants.

Notation carries what is read there (accidentals, beams, tuplet brackets, fingers, articulations),
tablature what is played there (string, fret, hammer-ons, pull-offs, slides, bends). Where there is no
tablature staff, notation carries both.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from lxml import etree

from solowright.files.musicxml_notes import HARMONIC_NODES, SLIDE_LENGTHS
from solowright.music.line import Bend, Line, Note
from solowright.music.notation import Symbol
from solowright.music.pitch import LETTERS, Pitch
from solowright.music.tune import signature_alters

TYPES = {1: "whole", 2: "half", 4: "quarter", 8: "eighth", 16: "16th", 32: "32nd", 64: "64th"}
_ACCIDENTALS = {
    -3: "triple-flat", -2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp",
    3: "triple-sharp",
}  # fmt: skip
_LEGATO = {"hammer": "hammer-on", "pull": "pull-off"}
_MAX_LEVEL = 16  # number-level of the schema


@dataclass(frozen=True, slots=True)
class Staff:
    """One of the staves to write. ``notation`` and ``playing`` tell which marks it carries."""

    number: int
    voice: int
    notation: bool
    playing: bool


@dataclass(slots=True)
class Spans:
    """What begins and ends at each note, as (element, number)."""

    starts: dict[Note, list[tuple[str, int]]] = field(default_factory=lambda: defaultdict(list))
    stops: dict[Note, list[tuple[str, int]]] = field(default_factory=lambda: defaultdict(list))


@dataclass(frozen=True, slots=True)
class Score:
    """What is the same for every bar: divisions of a quarter, spans, MIDI of the strings at the capo."""

    divisions: int
    spans: Spans
    open_strings: tuple[int, ...]


@dataclass(slots=True)
class Accidentals:
    """The accidentals in force in one bar of a key; reset at each barline."""

    fifths: int
    shown: dict[int, int] = field(default_factory=dict)

    def needed(self, pitch: Pitch) -> str | None:
        """The sign to print before a note, if it needs one here."""
        before = self.shown.get(pitch.height, signature_alters(self.fifths)[pitch.tone.letter])
        self.shown[pitch.height] = pitch.tone.alter
        return None if before == pitch.tone.alter else _ACCIDENTALS[pitch.tone.alter]


def find_spans(line: Line) -> Spans:
    """Slurs, hammer-ons, pull-offs and slides of a line.

    A slurred run is one slur from the note before it. Every hammer-on, pull-off and slide leads from
    the note before on the same string, else from the nearest in pitch.
    """
    spans = Spans()
    events = list(line.events())
    for before, here in zip([(), *events], events, strict=False):
        for number, note in enumerate(here, 1):
            kind = _LEGATO.get(note.entry or "") or ("slide" if note.entry == "slide" else None)
            if kind is None or number > _MAX_LEVEL:
                continue
            if before:
                spans.starts[_came_from(note, before)].append((kind, number))
            spans.stops[note].append((kind, number))
    for before, here, after in zip([(), *events], events, [*events[1:], ()], strict=False):
        if not here[0].slurred and after and after[0].slurred:
            spans.starts[here[0]].append(("slur", 1))
        if here[0].slurred and before and not (after and after[0].slurred):
            spans.stops[here[0]].append(("slur", 1))
    return spans


def _came_from(note: Note, before: Sequence[Note]) -> Note:
    same_string = [other for other in before if note.string is not None and other.string == note.string]
    return min(same_string or before, key=lambda other: abs(other.pitch.midi - note.pitch.midi))


def write_symbol(
    symbol: Symbol,
    staff: Staff,
    score: Score,
    accidentals: Accidentals,
    beams: Sequence[tuple[int, str]],
) -> Iterable[etree._Element]:
    """The elements of a rest, or of a note or chord, with the grace notes before it."""
    for grace in symbol.graces:
        yield _write_grace(grace, len(symbol.graces), staff, score, accidentals)
    if not symbol.notes:
        yield _write_rest(symbol, staff, score.divisions)
    for position, note in enumerate(symbol.notes):
        yield _write_note(note, position, symbol, staff, score, accidentals, beams)


def _write_rest(symbol: Symbol, staff: Staff, divisions: int) -> etree._Element:
    note = etree.Element("note")
    if not staff.notation:
        note.set("print-object", "no")
    rest = _add(note, "rest")
    _add(note, "duration", int(symbol.duration * divisions))
    _add(note, "voice", staff.voice)
    if symbol.whole_bar:
        rest.set("measure", "yes")
    else:
        _write_value(note, symbol)
    _add(note, "staff", staff.number)
    _write_notations(note, [_tuplet_marks(symbol)] if staff.notation else [])
    return note


def _write_grace(
    note: Note, fellows: int, staff: Staff, score: Score, accidentals: Accidentals
) -> etree._Element:
    """A grace note: one alone is a slashed eighth, several before one note are sixteenths."""
    element = etree.Element("note")
    _add(element, "grace", slash="yes" if fellows == 1 else "no")
    _write_pitch(element, note.pitch)
    _add(element, "voice", staff.voice)
    _add(element, "type", "eighth" if fellows == 1 else "16th")
    _write_head(element, note, staff, accidentals.needed(note.pitch) if staff.notation else None)
    _write_marks(element, note, staff, score, True, True, [])
    return element


def _write_note(
    note: Note,
    position: int,
    symbol: Symbol,
    staff: Staff,
    score: Score,
    accidentals: Accidentals,
    beams: Sequence[tuple[int, str]],
) -> etree._Element:
    """One note of a chord; ``position`` 0 is the one that carries beams and brackets."""
    element = etree.Element("note")
    if position:
        _add(element, "chord")
    _write_pitch(element, note.pitch)
    _add(element, "duration", int(symbol.duration * score.divisions))
    for tied, kind in ((symbol.tie_from, "stop"), (symbol.tie_to, "start")):
        if tied:
            _add(element, "tie", type=kind)
    _add(element, "voice", staff.voice)
    sign = accidentals.needed(note.pitch) if staff.notation and not symbol.tie_from else None
    _write_value(element, symbol, sign)
    _write_head(element, note, staff)
    drawn = staff.notation and position == 0
    for level, how in beams if drawn else ():
        _add(element, "beam", how, number=str(level))
    brackets = _tuplet_marks(symbol) if drawn else []
    _write_marks(element, note, staff, score, not symbol.tie_from, not symbol.tie_to, brackets)
    return element


def _write_head(element: etree._Element, note: Note, staff: Staff, accidental: str | None = None) -> None:
    if accidental:
        _add(element, "accidental", accidental)
    if not staff.notation:
        _add(element, "stem", "none")
    if note.dead:
        _add(element, "notehead", "x")
    _add(element, "staff", staff.number)


def _write_marks(
    element: etree._Element,
    note: Note,
    staff: Staff,
    score: Score,
    first: bool,
    last: bool,
    brackets: list[etree._Element],
) -> None:
    """All notations of a note; ``first`` and ``last`` tell its place among the notes it is tied to."""
    marks = [_tie_marks(note, first, last), brackets, _span_marks(score.spans, note, staff, first, last)]
    if staff.notation:
        marks.append(_ornaments(note, first, last))
    if staff.playing:
        marks.append(_place(note))
    if first:
        marks.append(_fingers(note) if staff.notation else [])
        marks.append(_technical(note, score.open_strings) if staff.playing else [])
        marks.append(_articulations(note) if staff.notation else [])
    _write_notations(element, marks)
    if note.palm_mute and first:
        _add(_add(element, "play"), "mute", "palm")


def _add(parent: etree._Element, tag: str, text: object = None, **attributes: str) -> etree._Element:
    element = etree.SubElement(parent, tag, attributes)
    if text is not None:
        element.text = str(text)
    return element


def _new(tag: str, text: object = None, **attributes: str) -> etree._Element:
    element = etree.Element(tag, attributes)
    if text is not None:
        element.text = str(text)
    return element


def _write_pitch(parent: etree._Element, pitch: Pitch) -> None:
    element = _add(parent, "pitch")
    _add(element, "step", LETTERS[pitch.tone.letter])
    if pitch.tone.alter:
        _add(element, "alter", pitch.tone.alter)
    _add(element, "octave", pitch.octave)


def _write_value(parent: etree._Element, symbol: Symbol, accidental: str | None = None) -> None:
    _add(parent, "type", TYPES[symbol.value])
    for _ in range(symbol.dots):
        _add(parent, "dot")
    if accidental:
        _add(parent, "accidental", accidental)
    if symbol.tuplet:
        ratio = _add(parent, "time-modification")
        _add(ratio, "actual-notes", symbol.tuplet[0])
        _add(ratio, "normal-notes", symbol.tuplet[1])


def _write_notations(note: etree._Element, marks: Iterable[list[etree._Element]]) -> None:
    """Gathers marks under ``<notations>``, technical ones and their like each under one parent."""
    notations = _new("notations")
    for mark in (mark for group in marks for mark in group):
        parent = _PARENTS.get(str(mark.tag))
        if parent is None:
            notations.append(mark)
        else:
            found = notations.find(parent)
            (found if found is not None else _add(notations, parent)).append(mark)
    if len(notations):
        note.append(notations)


_FAMILIES = {
    "technical": "string fret fingering hammer-on pull-off bend tap harmonic down-bow up-bow",
    "ornaments": "trill-mark wavy-line other-ornament",
    "articulations": "accent staccato scoop plop falloff doit",
}
_PARENTS = {tag: parent for parent, tags in _FAMILIES.items() for tag in tags.split()}


def _tie_marks(note: Note, first: bool, last: bool) -> list[etree._Element]:
    kinds = ["stop"] * (not first) + ["start"] * (not last) + ["let-ring"] * (note.let_ring and last)
    return [_new("tied", type=kind) for kind in kinds]


def _tuplet_marks(symbol: Symbol) -> list[etree._Element]:
    kinds = ["start"] * symbol.tuplet_start + ["stop"] * symbol.tuplet_stop
    return [_new("tuplet", type=kind) for kind in kinds]


def _span_marks(spans: Spans, note: Note, staff: Staff, first: bool, last: bool) -> list[etree._Element]:
    """What ends and begins at a note. A slur takes in all its ties, the rest only the nearest ends."""
    marks = []
    for type_, found in (("stop", spans.stops.get(note, ())), ("start", spans.starts.get(note, ()))):
        for kind, number in found:
            slur = kind == "slur"
            here = last if slur == (type_ == "stop") else first
            if here and (slur or staff.playing):
                marks.append(_new(kind, type=type_, number=str(staff.number if slur else number)))
    return marks


def _ornaments(note: Note, first: bool, last: bool) -> list[etree._Element]:
    marks = []
    if note.trill and first:
        step = {1: "half", 2: "whole"}.get(note.trill)
        marks.append(_new("trill-mark", **({"trill-step": step} if step else {})))
        if step is None:
            marks.append(_new("other-ornament", f"trill {note.trill}"))
    if note.vibrato:
        kinds = ["start"] * first + ["stop"] * last
        marks += [_new("wavy-line", type=kind, number="1") for kind in kinds]
    return marks


def _fingers(note: Note) -> list[etree._Element]:
    marks = [_new("fingering", note.finger)] if note.finger is not None else []
    if note.stroke:
        marks.append(_new(f"{note.stroke}-bow"))
    return marks


def _place(note: Note) -> list[etree._Element]:
    """String and fret: on every note of a tie, because tablature is drawn from them."""
    places = (("string", note.string), ("fret", note.fret))
    return [_new(tag, number) for tag, number in places if number is not None]


def _technical(note: Note, open_strings: tuple[int, ...]) -> list[etree._Element]:
    marks = []
    if note.entry == "harmonic":
        marks.append(_harmonic(note, open_strings))
    if note.entry == "tap":
        marks.append(_new("tap"))
    return marks + _bends(note.bends)


def _harmonic(note: Note, open_strings: tuple[int, ...]) -> etree._Element:
    """A harmonic, its note being what sounds: natural where the open string has it at that fret."""
    harmonic = _new("harmonic")
    if note.string is not None and note.fret is not None and note.string <= len(open_strings):
        natural = open_strings[note.string - 1] + HARMONIC_NODES.get(note.fret, -1) == note.pitch.midi
        _add(harmonic, "natural" if natural else "artificial")
    _add(harmonic, "sounding-pitch")
    return harmonic


def _bends(bends: tuple[Bend, ...]) -> list[etree._Element]:
    """The legs of a bend as distances from one to the next, as MusicXML counts them."""
    marks = []
    height = Fraction(0)
    for bend in bends:
        distance = bend.semitones if bend.kind == "prebend" else bend.semitones - height
        mark = _new("bend")
        _add(mark, "bend-alter", f"{float(distance):g}")
        if bend.kind != "bend":
            _add(mark, "pre-bend" if bend.kind == "prebend" else "release")
        marks.append(mark)
        height = bend.semitones
    return marks


def _articulations(note: Note) -> list[etree._Element]:
    marks = [_new(tag) for tag, on in (("accent", note.accent), ("staccato", note.staccato)) if on]
    for semitones, below, above in ((note.slide_from, "scoop", "plop"), (note.slide_to, "falloff", "doit")):
        if semitones:
            size = abs(semitones)
            length = min(SLIDE_LENGTHS, key=lambda name: abs(SLIDE_LENGTHS[name] - size))
            marks.append(_new(below if semitones < 0 else above, **{"line-length": length}))
    return marks
