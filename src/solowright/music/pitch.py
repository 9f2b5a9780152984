"""Spelled notes: tones (no octave), pitches (with octave) and the intervals between them.

Units: semitones, and MIDI note numbers (60 is C4, 69 is A4 = 440 Hz, ISO 16:1975).
Spelling is kept because a reader needs it: over ``Gbm7`` the third is B double-flat, not A.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache, total_ordering

from solowright.errors import InputError

LETTERS = "CDEFGAB"
NATURAL = (0, 2, 4, 5, 7, 9, 11)  # semitones of the seven letters above C
ACCIDENTALS = {"": 0, "#": 1, "##": 2, "###": 3, "b": -1, "bb": -2, "bbb": -3}
_SIGNS = {alter: sign for sign, alter in ACCIDENTALS.items()}
_PRINT = str.maketrans({"#": "♯", "b": "♭"})
A4_HZ = 440.0


@dataclass(frozen=True, slots=True)
class Interval:
    """A spelled distance: ``steps`` letters and ``semitones`` up (negative: down)."""

    steps: int
    semitones: int

    def __neg__(self) -> Interval:
        return Interval(-self.steps, -self.semitones)


@dataclass(frozen=True, slots=True)
class Tone:
    """A note name without octave, such as ``B♭``: ``letter`` 0 (C) to 6 (B), ``alter`` −3 to 3."""

    letter: int
    alter: int = 0

    @property
    def pitch_class(self) -> int:
        """0 (C) to 11 (B)."""
        return (NATURAL[self.letter] + self.alter) % 12

    @property
    def name(self) -> str:
        """Typed name: ``Bb``, ``F#``, ``Bbb``."""
        return LETTERS[self.letter] + _SIGNS[self.alter]

    @property
    def printed(self) -> str:
        """Printed name with real accidentals: ``B♭``, ``F♯``."""
        return LETTERS[self.letter] + _SIGNS[self.alter].translate(_PRINT)

    @property
    def fifths(self) -> int:
        """Place on the line of fifths, C = 0, G = 1, F = −1; the measure of how far two spellings lie."""
        return (0, 2, 4, -1, 1, 3, 5)[self.letter] + 7 * self.alter

    def up(self, interval: Interval) -> Tone:
        """The tone ``interval`` higher, respelled simply where it would need four accidentals."""
        return spell(self.letter + interval.steps, self.pitch_class + interval.semitones)


@total_ordering
@dataclass(frozen=True, slots=True)
class Pitch:
    """A spelled pitch at its sounding octave; ``octave`` is that of the letter (C4 is middle C)."""

    tone: Tone
    octave: int

    @property
    def midi(self) -> int:
        """MIDI note number (MIDI 1.0: 60 is middle C)."""
        return 12 * (self.octave + 1) + NATURAL[self.tone.letter] + self.tone.alter

    @property
    def name(self) -> str:
        return f"{self.tone.name}{self.octave}"

    @property
    def hertz(self) -> float:
        """Equal temperament on A4 = 440 Hz (ISO 16:1975)."""
        return float(A4_HZ * 2.0 ** ((self.midi - 69) / 12))

    @property
    def height(self) -> int:
        """Diatonic height in letters above C0: what decides the line or space of the staff."""
        return 7 * self.octave + self.tone.letter

    def up(self, interval: Interval) -> Pitch:
        """The pitch ``interval`` higher."""
        tone = self.tone.up(interval)
        return at_midi(tone, self.midi + interval.semitones)

    def __lt__(self, other: Pitch) -> bool:
        return (self.midi, self.height) < (other.midi, other.height)


def spell(letter: int, pitch_class: int) -> Tone:
    """The tone on ``letter`` (any integer, taken mod 7) that sounds ``pitch_class`` (mod 12).

    Where that would need more than three accidentals, the nearest simpler letter is taken.
    """
    letter %= 7
    alter = (pitch_class - NATURAL[letter] + 6) % 12 - 6
    if alter > 3:
        return spell(letter + 1, pitch_class)
    if alter < -3:
        return spell(letter - 1, pitch_class)
    return Tone(letter, alter)


def tone_at(fifths: int) -> Tone:
    """The tone at a place on the line of fifths (the other way round from ``Tone.fifths``)."""
    alter, place = divmod(fifths + 1, 7)
    return Tone((3, 0, 4, 1, 5, 2, 6)[place], alter)


def plain_interval(semitones: int) -> Interval:
    """The interval of so many semitones over the letters it usually spans: 3 is a minor third."""
    octaves, rest = divmod(semitones, 12)
    return Interval(7 * octaves + (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)[rest], semitones)


def at_midi(tone: Tone, midi: int) -> Pitch:
    """``tone`` in the octave where it sounds ``midi``.

    Raises InputError where the tone is not of that pitch class.
    """
    octave, rest = divmod(midi - NATURAL[tone.letter] - tone.alter, 12)
    if rest:
        raise InputError(f"{tone.name} can't sound MIDI note {midi}; name another note")
    return Pitch(tone, octave - 1)


_SHARP_TONES = (Tone(0), Tone(0, 1), Tone(1), Tone(1, 1), Tone(2), Tone(3),
                                         Tone(3, 1), Tone(4), Tone(4, 1), Tone(5), Tone(5, 1), Tone(6))
_FLAT_TONES = (Tone(0), Tone(1, -1), Tone(1), Tone(2, -1), Tone(2), Tone(3), Tone(4, -1), Tone(4),
               Tone(5, -1), Tone(5), Tone(6, -1), Tone(6))


def plain(midi: int, flats: bool = False) -> Pitch:
    """The plainest pitch for a MIDI number: sharps, or flats where asked."""
    return at_midi((_FLAT_TONES if flats else _SHARP_TONES)[midi % 12], midi)


_TONE = re.compile(r"([A-Ga-g])(#{1,3}|b{1,3}|x|♯{1,3}|♭{1,3}|𝄪|𝄫)?")
_PITCH = re.compile(_TONE.pattern + r"(-?\d+)")
_TYPED = {"♯": "#", "♭": "b", "𝄪": "##", "𝄫": "bb", "x": "##"}


def _accidental(text: str | None) -> int:
    return ACCIDENTALS["".join(_TYPED.get(sign, sign) for sign in text or "")]


@cache
def parse_tone(text: str) -> Tone:
    """Reads ``Bb``, ``F#``, ``B♭♭``. Raises InputError on anything else."""
    match = _TONE.fullmatch(text)
    if not match:
        raise InputError(f"'{text}' is not a note name; write a letter A to G with # or b, such as Bb")
    return Tone(LETTERS.index(match[1].upper()), _accidental(match[2]))


@cache
def parse_pitch(text: str) -> Pitch:
    """Reads ``Bb3``, ``F#4``. Raises InputError on anything else."""
    match = _PITCH.fullmatch(text)
    if not match:
        raise InputError(f"'{text}' is not a pitch; write a note name and an octave, such as Bb3")
    return Pitch(Tone(LETTERS.index(match[1].upper()), _accidental(match[2])), int(match[3]))


# Major-scale semitones of degrees 1 to 7; degrees 8 to 14 repeat them an octave up.
_DEGREE = re.compile(r"(bb|b|#|##)?(\d{1,2})")


@cache
def degree_interval(degree: str) -> Interval:
    """The interval from the root to a degree typed as in chord charts: ``b3``, ``#11``, ``bb7``.

    Raises InputError on anything else.
    """
    match = _DEGREE.fullmatch(degree)
    if not match or not 1 <= int(match[2]) <= 15:
        raise InputError(f"'{degree}' is not a degree; write a number 1 to 13 with b or #, such as b9")
    octave, letter = divmod(int(match[2]) - 1, 7)
    return Interval(7 * octave + letter, 12 * octave + NATURAL[letter] + ACCIDENTALS[match[1] or ""])
