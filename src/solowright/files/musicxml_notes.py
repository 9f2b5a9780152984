"""What stands in a ``<note>``: pitch, length, and how the player plays it.

``<pitch>`` is what is written after any ``<transpose>``; a clef's octave change is already in it, since
MusicXML notes are pitched as they sound under their clef and the clef only moves where they are drawn.
String, fret and finger count as ours do: string 1 is the highest, frets are from the capo.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, fields, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Any, TypeVar

from lxml import etree

from solowright.errors import InputError
from solowright.music.line import Bend, Note
from solowright.music.pitch import LETTERS, Interval, Pitch, Tone, at_midi, plain
from solowright.music.time import Time
from solowright.music.tune import signature_alters

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

_Record = TypeVar("_Record", bound="DataclassInstance")

UNISON = Interval(0, 0)

# Marks without a value, and the fields of Note that they fill. Slides from and to nowhere have no
# length in MusicXML but a word for one: see SLIDE_LENGTHS.
MARKS: dict[str, dict[str, Any]] = {
    "down-bow": {"stroke": "down"}, "up-bow": {"stroke": "up"}, "tap": {"entry": "tap"},
    "accent": {"accent": True}, "strong-accent": {"accent": True},
    "staccato": {"staccato": True}, "staccatissimo": {"staccato": True},
}  # fmt: skip
SLIDES = {
    "scoop": ("slide_from", -1), "plop": ("slide_from", 1),
    "falloff": ("slide_to", -1), "doit": ("slide_to", 1),
}  # fmt: skip
SLIDE_LENGTHS = {"short": 1, "medium": 2, "long": 5}  # semitones; our reading of the words
TRILL_STEPS = {"unison": 0, "half": 1, "whole": 2}

# Semitones above the open string of the natural harmonic at a fret: overtones 2 to 6 of the string.
HARMONIC_NODES = {12: 12, 7: 19, 19: 19, 5: 24, 24: 24, 4: 28, 9: 28, 16: 28, 3: 31}

# Spans from note to note: the element and what it makes of the note it leads to.
SPANS = {"slur": "slur", "hammer-on": "hammer", "pull-off": "pull", "slide": "slide", "glissando": "slide"}

_NAMES = (
    "maxima", "long", "breve", "whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th",
    "256th", "512th", "1024th",
)  # fmt: skip
# Note types and their quarters: a maxima is 32 of them, each next type half as long.
TYPES = {name: Fraction(32, 1 << halved) for halved, name in enumerate(_NAMES)}

_NUMBER = re.compile(r"[+-]?\d{1,12}(?:\.\d{0,20})?")


@dataclass(frozen=True, slots=True)
class WrittenNote:
    """A note as written, its ``note.onset`` counted from the start of its bar.

    ``starts`` and ``stops`` hold (kind, number) of slurs and of hammer-ons, pull-offs and slides;
    ``passages`` the times through a repeat at which it is played (empty: always).
    """

    note: Note
    staff: int
    voice: str
    chord: bool
    tie_start: bool = False
    tie_stop: bool = False
    starts: tuple[tuple[str, str], ...] = ()
    stops: tuple[tuple[str, str], ...] = ()
    passages: tuple[int, ...] = ()


def fill_in(own: _Record, other: _Record) -> _Record:
    """``own`` with every field that it leaves at its default taken from ``other``."""
    missing = [field.name for field in fields(own) if getattr(own, field.name) == field.default]
    return replace(own, **{name: getattr(other, name) for name in missing})


def read_number(text: str | None, what: str) -> Fraction:
    """A plain decimal number. Raises InputError saying which one is wrong."""
    if not _NUMBER.fullmatch((text or "").strip()):
        raise InputError(f"{what} '{(text or '').strip()[:20]}' is not a number")
    return Fraction((text or "").strip())


def read_integer(text: str | None, what: str) -> int:
    """A whole number. Raises InputError saying which one is wrong."""
    number = read_number(text, what)
    if number.denominator != 1:
        raise InputError(f"{what} {float(number):g} is not a whole number")
    return int(number)


def read_pitch(element: etree._Element, transpose: Interval) -> Pitch:
    """The sounding pitch of a ``<pitch>`` under a transposition. Raises InputError where none sounds."""
    step = (element.findtext("step") or "").strip()
    alter = read_number(element.findtext("alter") or "0", "alter")
    octave = read_integer(element.findtext("octave"), "octave")
    if step not in tuple(LETTERS):
        raise InputError(f"step '{step[:20]}' is not a note name; write A to G")
    if alter.denominator != 1 or abs(alter) > 3:
        raise InputError(f"{step} altered by {float(alter):g} half steps lies between the frets")
    pitch = Pitch(Tone(LETTERS.index(step), int(alter)), octave)
    if transpose != UNISON:
        pitch = pitch.up(transpose)
    if not 0 <= pitch.midi <= 127:
        raise InputError(f"{pitch.name} is outside the range of hearing; check its octave")
    return pitch


def read_length(element: etree._Element, divisions: Fraction) -> Time:
    """Quarters that a note or rest lasts; tuplets exactly, where the file rounds their divisions.

    Raises InputError where the file says no length, or one that is no number.
    """
    text = element.findtext("duration")
    written = _written_length(element)
    if text is None:
        if written is None:
            raise InputError("a note has neither duration nor type")
        return written
    length = read_number(text, "duration") / divisions
    if length < 0:
        raise InputError("a note's duration is less than nothing")
    if written is not None and element.find("time-modification") is not None:
        # Divisions too coarse for the tuplet: the written value is what is meant.
        off = abs(length - written)
        if off * divisions < 1 and off * 8 < written:
            return written
    return length


def _written_length(element: etree._Element) -> Time | None:
    """Quarters by note type, dots and tuplet; None where the type isn't given."""
    value = TYPES.get((element.findtext("type") or "").strip())
    if value is None:
        return None
    dots = len(element.findall("dot"))
    length = value * (2 - Fraction(1, 1 << min(dots, 8)))
    ratio = element.find("time-modification")
    if ratio is not None:
        actual = read_integer(ratio.findtext("actual-notes"), "actual-notes")
        normal = read_integer(ratio.findtext("normal-notes"), "normal-notes")
        if actual < 1 or normal < 1:
            raise InputError("a tuplet of no notes can't be played")
        length *= Fraction(normal, actual)
    return length


def read_note(
    element: etree._Element,
    pitch: Pitch,
    onset: Time,
    duration: Time,
    fifths: int,
    open_strings: tuple[int, ...],
) -> WrittenNote:
    """A pitched ``<note>`` with all its marks.

    ``fifths`` is the written key (a trill goes to its next step), ``open_strings`` the MIDI numbers
    of the open strings with the capo on. Raises InputError where a mark makes no sense.
    """
    fields: dict[str, Any] = {}
    starts: list[tuple[str, str]] = []
    stops: list[tuple[str, str]] = []
    ties = {tie.get("type") for tag in ("tie", "notations/tied") for tie in element.iterfind(tag)}
    bends: list[etree._Element] = []
    for mark in element.iterfind("notations//*"):
        tag = str(mark.tag)
        if tag in SPANS:
            ends = {"start": starts, "stop": stops}.get(mark.get("type", ""))
            if ends is not None:
                ends.append((SPANS[tag], mark.get("number", "1")))
        elif tag in MARKS:
            fields |= MARKS[tag]
        elif tag in SLIDES:
            field, sign = SLIDES[tag]
            fields[field] = sign * SLIDE_LENGTHS.get(mark.get("line-length", "medium"), 2)
        elif tag == "wavy-line" and mark.get("type") != "stop":
            fields["vibrato"] = True
        elif tag == "bend":
            bends.append(mark)
        elif tag in ("string", "fret", "fingering"):
            fields |= _read_place(tag, (mark.text or "").strip())
        elif tag == "trill-mark":
            fields["trill"] = _read_trill(element, mark, pitch, fifths)
        elif tag == "harmonic":
            fields["entry"] = "harmonic"
    if bends:
        fields["bends"] = read_bends(bends)
    if "trill" in fields:
        fields.pop("vibrato", None)  # the wavy line goes on with the trill
    head = element.findtext("notehead")
    if head is not None and head.strip() in ("x", "cross", "circle-x"):
        fields["dead"] = True
    if element.findtext("play/mute") == "palm":
        fields["palm_mute"] = True
    if "let-ring" in ties:
        fields["let_ring"] = True
    if "stroke" in fields:
        fields.setdefault("entry", "pick")
    note = Note(pitch, onset, duration, **fields)
    if note.entry == "harmonic" and element.find("notations//sounding-pitch") is None:
        note = _sound_harmonic(note, open_strings)
    return WrittenNote(
        note=note,
        staff=read_integer(element.findtext("staff") or "1", "staff"),
        voice=(element.findtext("voice") or "1").strip(),
        chord=element.find("chord") is not None,
        tie_start="start" in ties,
        tie_stop="stop" in ties,
        starts=tuple(starts),
        stops=tuple(stops),
        passages=tuple(map(int, re.findall(r"\d{1,3}", element.get("time-only", "")))),
    )


def _read_place(tag: str, text: str) -> dict[str, int]:
    """String, fret or finger; fingerings other than 0 to 4 (a thumb, a pianist's fifth) are left out."""
    if tag == "fingering":
        return {"finger": int(text)} if text in ("0", "1", "2", "3", "4") else {}
    number = read_integer(text, tag)
    if number < (1 if tag == "string" else 0) or number > 60:
        raise InputError(f"{tag} {number} is not on a guitar")
    return {tag: number}


def read_bends(elements: list[etree._Element]) -> tuple[Bend, ...]:
    """The legs of a bend. MusicXML gives each as a distance from the last, ours are heights."""
    legs: list[Bend] = []
    height = Fraction(0)
    for element in elements:
        distance = read_number(element.findtext("bend-alter"), "bend-alter")
        if element.find("pre-bend") is not None:
            height = abs(distance)
            legs.append(Bend(height, "prebend"))
        elif element.find("release") is not None or distance < 0:
            # Some files write a release as the distance 0, meaning all the way.
            height = max(Fraction(0), height - abs(distance)) if distance else Fraction(0)
            legs.append(Bend(height, "release"))
        else:
            height += distance
            legs.append(Bend(height, "bend"))
    return tuple(legs)


def _read_trill(element: etree._Element, mark: etree._Element, pitch: Pitch, fifths: int) -> int:
    """Semitones from a note to the other note of its trill."""
    other = element.findtext("notations/ornaments/other-ornament") or ""
    counted = re.fullmatch(r"trill (\d{1,2})", other)
    if counted:
        return int(counted[1])
    step = mark.get("trill-step")
    if step in TRILL_STEPS:
        return TRILL_STEPS[step]
    letter = (pitch.tone.letter + 1) % 7
    accidental = element.findtext("notations/ornaments/accidental-mark")
    alters = {"sharp": 1, "natural": 0, "flat": -1, "double-sharp": 2, "flat-flat": -2}
    tone = Tone(letter, alters.get(accidental or "", signature_alters(fifths)[letter]))
    return (tone.pitch_class - pitch.midi) % 12


def _sound_harmonic(note: Note, open_strings: tuple[int, ...]) -> Note:
    """A natural harmonic that the file pitches by its fret, at the pitch that sounds."""
    if note.string is None or note.fret not in HARMONIC_NODES or note.string > len(open_strings):
        return note
    midi = open_strings[note.string - 1] + HARMONIC_NODES[note.fret]
    same_name = (midi - note.pitch.midi) % 12 == 0
    return replace(note, pitch=at_midi(note.pitch.tone, midi) if same_name else plain(midi))
