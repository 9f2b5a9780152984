"""Decorations: what ABC writes between exclamation marks before a note, and the Note fields they fill.

The names in ``MARKS`` that ABC 2.1 knows (section 4.14) are its own; the rest are ours, for what ABC
has no sign for. Marks with a value are written ``!name=value!``:

====================  ==========================================================================
``!string=2!``        string, 1 is the highest
``!fret=7!``          fret, counted from the capo
``!bend=2!``          bend up to 2 semitones; ``!release=0!`` and ``!prebend=2!`` likewise, in order
``!slidein=-3!``      slide in from 3 semitones below; ABC's ``!slide!`` is ``!slidein=-2!``
``!slideout=-5!``     slide off to 5 semitones below
``!trill=3!``         trill with the note 3 semitones up; ABC's ``!trill!`` takes the key's next note
====================  ==========================================================================

How far ``!slide!`` comes from is not in the standard: a whole step is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

from solowright.music.line import Bend, Note
from solowright.music.pitch import NATURAL

_MOST = 48  # frets or semitones: more is a typing slip

# Mark: the fields it sets. Of several marks for one thing the first is the one we write.
MARKS: Mapping[str, Mapping[str, Any]] = {
    **{str(finger): {"finger": finger} for finger in range(5)},
    "pick": {"entry": "pick"},
    "hammer": {"entry": "hammer"},
    "pull": {"entry": "pull"},
    "glide": {"entry": "slide"},  # from the note before, on its string
    "tap": {"entry": "tap"},
    "harmonic": {"entry": "harmonic"},
    "slide": {"slide_from": -2},
    "downbow": {"stroke": "down"},
    "upbow": {"stroke": "up"},
    "vibrato": {"vibrato": True},
    "dead": {"dead": True},
    "palmmute": {"palm_mute": True},
    "letring": {"let_ring": True},
    "slurred": {"slurred": True},  # where the slur can't be drawn with brackets
    "accent": {"accent": True},
    ">": {"accent": True},
    "emphasis": {"accent": True},
    "staccato": {"staccato": True},
}
# Mark with a whole number: its field, the value that is not written, the least value.
_NUMBERS: Mapping[str, tuple[str, int | None, int]] = {
    "string": ("string", None, 1),
    "fret": ("fret", None, 0),
    "slidein": ("slide_from", 0, -_MOST),
    "slideout": ("slide_to", 0, -_MOST),
    "trill": ("trill", 0, 0),
}
_BENDS = ("bend", "release", "prebend")
# ABC 2.1, 4.14: one-letter signs for marks. A tune's U: fields may change them.
SYMBOLS = {
    ".": "staccato", "~": "roll", "H": "fermata", "L": "accent", "M": "lowermordent", "O": "coda",
    "P": "uppermordent", "S": "segno", "T": "trill", "u": "upbow", "v": "downbow",
}  # fmt: skip
# Marks that send the player elsewhere.
JUMPS = frozenset(("D.C.", "D.S.", "dacapo", "dacoda", "fine", "segno", "coda"))
# ABC 2.1 marks that say nothing a Note holds: read past. Dynamics and their hairpins among them.
KNOWN = frozenset(
    """trill( trill) lowermordent uppermordent mordent pralltriller roll turn turnx invertedturn
    invertedturnx arpeggio fermata invertedfermata tenuto + plus snap wedge open thumb breath
    crescendo( <( crescendo) <) diminuendo( >( diminuendo) >) pppp ppp pp p mp mf f ff fff ffff sfz
    segno coda D.S. D.C. dacoda dacapo fine shortphrase mediumphrase longphrase 5 courtesy
    editorial nil none""".split()  # noqa: SIM905
)
_VALUE = re.compile(r"(\w+)=(-?\d+(?:/\d+)?)")


def upper_neighbour(note: Note, signature: Sequence[int]) -> int:
    """Semitones up to the next note of the key; ``signature`` holds the alter of letters C to B."""
    letter = note.pitch.tone.letter
    after = (letter + 1) % 7
    gap = NATURAL[after] - NATURAL[letter] + 12 * (after == 0)
    return max(1, gap + signature[after] - note.pitch.tone.alter)


def apply_mark(note: Note, name: str, signature: Sequence[int]) -> Note | None:
    """The note with one mark applied; None where the mark is unknown or its value makes no sense."""
    if name in MARKS:
        return replace(note, **MARKS[name])
    if name == "trill":
        return replace(note, trill=upper_neighbour(note, signature))
    if name in KNOWN:
        return note
    match = _VALUE.fullmatch(name)
    if not match or match[2].endswith("/0"):
        return None
    kind, value = match[1], Fraction(match[2])
    if kind in _BENDS and abs(value) <= _MOST:
        return replace(note, bends=(*note.bends, Bend(value, kind)))  # type: ignore[arg-type]
    if kind not in _NUMBERS or value.denominator != 1:
        return None
    field, _, least = _NUMBERS[kind]
    filled: dict[str, Any] = {field: int(value)}
    return replace(note, **filled) if least <= value <= _MOST else None


def marks_of(note: Note, signature: Sequence[int], slur_drawn: bool) -> list[str]:
    """The marks that give the note back, as written before it: the reverse of ``apply_mark``.

    ``slur_drawn`` tells that brackets already say what ``slurred`` would.
    """
    marks = []
    said = {"slurred"} if slur_drawn else set()
    for name, fields in MARKS.items():
        ((field, value),) = fields.items()
        if field not in said and getattr(note, field) == value:
            said.add(field)
            marks.append(_sign(name))
    marks += [f"!{bend.kind}={bend.semitones}!" for bend in note.bends]
    if note.trill and note.trill == upper_neighbour(note, signature):
        said.add("trill")
        marks.append("T")
    for name, (field, empty, _) in _NUMBERS.items():
        if field not in said and getattr(note, field) != empty:
            marks.append(f"!{name}={getattr(note, field)}!")
    return marks


def _sign(name: str) -> str:
    return next((sign for sign, mark in SYMBOLS.items() if mark == name), f"!{name}!")
