"""What may stand in a row of tablature, as a table, and a note's marks written back.

======== =========================================================================================
``7``    attack at fret 7; ``x`` a dead note, ``x7`` at fret 7; ``<12>`` a natural harmonic
``h p``  before a fret: hammered, pulled off; ``t`` tapped; ``s`` slid into; ``_`` a slur leads in
``/ \\``  between two frets of a string: a slide; in front of or behind one only: in from, off to,
         nowhere (a whole step away); ``(5)/7`` and ``7\\(3)`` say from and to which fret
``g``    before a fret: a grace note before the next note to its right
``b9``   bend to the sound of fret 9; ``r7`` release to it; ``pb9`` bent before it is struck
``tr9``  trill with fret 9; ``~`` vibrato; ``>`` accent; ``'`` staccato; ``m`` palm mute; ``*`` let ring
``=3``   lasts 3 quarters whatever is struck meanwhile; ``,`` ends the note
======== =========================================================================================
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from solowright.files.text import NUMBER, number_text
from solowright.music.line import Entry, Note

HIGHEST_FRET = 36  # no neck goes beyond: more digits are two frets without a dash between
SHORT_SLIDE = 2  # semitones of a slide from or to nowhere in particular: common practice, no source

# Semitones that a natural harmonic sounds above the open string, by the fret it is touched at: the
# partials 2 to 6 in equal temperament (facts of the string; the sixth stands a little behind fret 3).
HARMONIC_NODES = {12: 12, 7: 19, 19: 19, 5: 24, 24: 24, 4: 28, 9: 28, 16: 28, 3: 31}

ENTRY_SIGNS: dict[str, Entry] = {"h": "hammer", "p": "pull", "s": "slide", "t": "tap"}
_SIGN_OF = {entry: sign for sign, entry in ENTRY_SIGNS.items()}

_BEND = r"\d{1,2}(?:\.\d{1,2})?"
_MARK = re.compile(
    rf"""(?P<held>-+)
      | (?P<stop>,)
      | (?P<fret>x?(?:<\d{{1,4}}>|\d{{1,4}})|x)
      | tr(?P<trill>\d{{1,2}})
      | pb(?P<prebend>{_BEND})
      | b(?P<bend>{_BEND})
      | r(?P<release>{_BEND})
      | (?P<off>[/\\]\(\d{{1,2}}\))
      | (?P<into>\(\d{{1,2}}\)[/\\])
      | (?P<lead>[hpstg_/\\])
      | (?P<vibrato>~+)
      | (?P<palm_mute>m)
      | (?P<let_ring>\*)
      | (?P<accent>>)
      | (?P<staccato>')
      | =(?P<lasts>{NUMBER})
      | (?P<stray>.)""",
    re.VERBOSE | re.ASCII,
)


@dataclass(frozen=True, slots=True)
class Mark:
    """One sign of a row: its kind in the table, its text, and its columns from 0."""

    kind: str
    text: str
    start: int
    end: int


def scan_row(text: str, start: int, end: int) -> Iterator[Mark]:
    """The signs between two columns of a row, without the dashes."""
    for match in _MARK.finditer(text, start, end):
        kind = match.lastgroup or ""
        if kind != "held":
            yield Mark(kind, match[kind], match.start(), match.end())


def write_lead(note: Note, slide: str) -> str:
    """What stands before the fret. ``slide`` is the sign for a slide from the note before."""
    lead = ("g" if note.grace else "") + ("_" if note.slurred else "")
    if note.slide_from:
        lead += f"({_fret(note) + note.slide_from})" + ("/" if note.slide_from < 0 else "\\")
    if note.entry == "slide":
        return lead + slide
    return lead + (_SIGN_OF.get(note.entry, "") if note.entry else "")


def write_head(note: Note) -> str:
    """The fret as it stands under the count."""
    if note.entry == "harmonic":
        return ("x" if note.dead else "") + f"<{note.fret}>"
    if note.dead:
        return f"x{note.fret or ''}"
    return str(note.fret)


def write_tail(note: Note, lasts: Fraction | None) -> str:
    """What stands behind the fret; ``lasts`` where its length must be said."""
    tail = ""
    for bend in note.bends:
        sign = {"bend": "b", "release": "r", "prebend": "pb"}[bend.kind]
        tail += sign + number_text(_fret(note) + bend.semitones)
    tail += f"tr{_fret(note) + note.trill}" if note.trill else ""
    tail += "~" if note.vibrato else ""
    tail += "m" if note.palm_mute else ""
    tail += "*" if note.let_ring else ""
    tail += ">" if note.accent else ""
    tail += "'" if note.staccato else ""
    if note.slide_to:
        tail += ("/" if note.slide_to > 0 else "\\") + f"({_fret(note) + note.slide_to})"
    return tail + (f"={number_text(lasts)}" if lasts is not None else "")


def can_write(note: Note) -> bool:
    """Whether tablature can say all of a note's marks. It needs string and fret."""
    if note.string is None or note.fret is None or not 0 <= note.fret <= HIGHEST_FRET:
        return False
    if note.stroke is not None and note.entry != "pick":
        return False
    numbers = [note.fret + bend.semitones for bend in note.bends]
    numbers += [Fraction(note.fret + steps) for steps in (note.slide_from, note.slide_to, note.trill)]
    return all(0 <= number < 100 and (100 * number).denominator == 1 for number in numbers)


def _fret(note: Note) -> int:
    assert note.fret is not None, "only notes with a fret are written as tablature"
    return note.fret
