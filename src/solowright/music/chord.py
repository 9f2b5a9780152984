"""Chord symbols as they are typed on lead sheets, and what they mean.

A symbol is a root, a base from the table below, modifiers, and a bass after a slash. Meanings are
common practice where no source is named: ``Δ`` alone is the major seventh chord, a 13 over a major
third leaves the 11 out because the two clash, and ``alt`` is ♭9 ♯9 ♯11 ♭13 without a fifth.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from itertools import product
from typing import Literal

from solowright.errors import InputError
from solowright.music.pitch import Interval, Tone, degree_interval, parse_tone

Family = Literal[
    "major", "minor", "dominant", "half-diminished", "diminished", "augmented", "suspended",
    "minor-major", "power",
]  # fmt: skip

NO_CHORD = ("N.C.", "NC", "N.C", "n.c.")

# Every way to begin a symbol behind its root: spellings, degrees, and how it is printed
# (on the line, raised). The first spelling is the plain typed one.
_MAJ = ("maj", "ma", "M", "Δ", "j")
_MIN = ("m", "mi", "min", "-")
_DIM = ("dim", "o", "°")
_AUG = ("aug", "+")


def _spellings(heads: tuple[str, ...], *tails: str) -> tuple[str, ...]:
    return tuple(head + tail for tail, head in product(tails, heads))


_MINMAJ = tuple(a + b for a, b in product(_MIN, _MAJ))
_BASES: tuple[tuple[tuple[str, ...], str, str, str], ...] = (
    (("", "maj", "ma", "M"), "1 3 5", "", ""),
    (_MIN, "1 b3 5", "m", ""),
    (_DIM, "1 b3 b5", "°", ""),
    (_AUG, "1 3 #5", "+", ""),
    (("5",), "1 5", "", "5"),
    (("6", *_spellings(_MAJ[:3], "6")), "1 3 5 6", "", "6"),
    (("69", "6/9"), "1 3 5 6 9", "", "6/9"),
    (_spellings(_MIN, "6"), "1 b3 5 6", "m", "6"),
    (_spellings(_MIN, "69", "6/9"), "1 b3 5 6 9", "m", "6/9"),
    (("7", "dom7"), "1 3 5 b7", "", "7"),
    (("9",), "1 3 5 b7 9", "", "9"),
    (("11",), "1 3 5 b7 9 11", "", "11"),
    (("13",), "1 3 5 b7 9 13", "", "13"),
    ((*_spellings(_MAJ, "7"), "Δ"), "1 3 5 7", "", "maj7"),
    (_spellings(_MAJ, "9"), "1 3 5 7 9", "", "maj9"),
    (_spellings(_MAJ, "11"), "1 3 5 7 9 11", "", "maj11"),
    (_spellings(_MAJ, "13"), "1 3 5 7 9 13", "", "maj13"),
    (_spellings(_MIN, "7"), "1 b3 5 b7", "m", "7"),
    (_spellings(_MIN, "9"), "1 b3 5 b7 9", "m", "9"),
    (_spellings(_MIN, "11"), "1 b3 5 b7 9 11", "m", "11"),
    (_spellings(_MIN, "13"), "1 b3 5 b7 9 11 13", "m", "13"),
    ((*_spellings(_MINMAJ, "7"), *_spellings(_MIN, "Δ")), "1 b3 5 7", "m", "maj7"),
    (_spellings(_MINMAJ, "9"), "1 b3 5 7 9", "m", "maj9"),
    (_spellings(_DIM, "7"), "1 b3 b5 bb7", "°", "7"),
    (tuple(a + b + "7" for a, b in product(_DIM, _MAJ)), "1 b3 b5 7", "°", "maj7"),
    (("ø", "ø7", "Ø", "Ø7"), "1 b3 b5 b7", "ø", "7"),
    (("ø9", "Ø9"), "1 b3 b5 b7 9", "ø", "9"),
    (_spellings(_AUG, "7"), "1 3 #5 b7", "+", "7"),
    (_spellings(_AUG, "9"), "1 3 #5 b7 9", "+", "9"),
    (tuple(a + b + "7" for a, b in product(_AUG, _MAJ)), "1 3 #5 7", "+", "maj7"),
    (("sus4", "sus"), "1 4 5", "", "sus4"),
    (("sus2",), "1 2 5", "", "sus2"),
    (("7sus4", "7sus", "sus7"), "1 4 5 b7", "", "7sus4"),
    (("9sus4", "9sus", "sus9"), "1 4 5 b7 9", "", "9sus4"),
    (("13sus4", "13sus", "sus13"), "1 4 5 b7 9 13", "", "13sus4"),
    (("7alt", "alt"), "1 3 b7 b9 #9 #11 b13", "", "7alt"),
)
_BASE = {spelling: row for row in _BASES for spelling in row[0]}
_LONGEST = max(map(len, _BASE))

# Words whose case is free; a lone M or m is not among them.
_WORDS = re.compile(r"maj|min|dim|aug|dom|sus|add|omit|alt|ma(?=\d|$)|mi(?=\d|$)|no(?=\d)", re.IGNORECASE)
_TYPED = str.maketrans({"♭": "b", "♯": "#", "△": "Δ", "º": "°", "–": "-", "−": "-"})
_MODIFIER = re.compile(
    r"""(?P<gap>[\s,()\[\]]+)
      | add(?P<add>[b#]?(?:2|4|6|9|11|13))
      | (?:no|omit)(?P<omit>3|5|7)
      | sus(?P<sus>[24]?)
      | (?P<alt>alt)
      | (?P<sign>[b\#+-])(?P<degree>5|6|9|11|13)
      | (?P<tail>9|11|13)(?P<tail_sign>[b\#])
      | (?P<bare>6|9|11|13)
      | (?P<raise>\+)
      | (?:maj|ma|M|Δ|j)(?P<major>7)
    """,
    re.VERBOSE,
)
_ROOT = re.compile(r"([A-G])([b#♭♯]{0,2})")
_SLASH = re.compile(r"(.*)/\s*([A-G][b#♭♯]{0,2})")

# The name of each pitch class above the root where the chord itself doesn't hold it.
_BY_SEMITONE = ("1", "b9", "9", "#9", "3", "11", "#11", "5", "b13", "13", "b7", "7")


@dataclass(frozen=True, slots=True)
class Chord:
    """A chord symbol understood. ``symbol`` is as typed; ``degrees`` rise from the root.

    ``bass`` is the tone after the slash, a chord tone or not (a triad over a bass note).
    """

    symbol: str
    root: Tone
    degrees: tuple[str, ...]
    bass: Tone | None = None

    @property
    def family(self) -> Family:
        """What the chord is in a progression, whatever its tensions."""
        return _family(frozenset(self.degrees))

    @property
    def tones(self) -> tuple[Tone, ...]:
        """The spelled tones in the order of ``degrees``, without the bass."""
        return tuple(self.root.up(degree_interval(degree)) for degree in self.degrees)

    @property
    def pitch_classes(self) -> frozenset[int]:
        """All that sounds, the bass included, as 0 (C) to 11 (B)."""
        bass = () if self.bass is None else (self.bass.pitch_class,)
        return frozenset([tone.pitch_class for tone in self.tones] + list(bass))

    def tone(self, degree: str) -> Tone:
        """The spelled tone on any degree of this chord's root, such as ``b9``."""
        return self.root.up(degree_interval(degree))

    def degree_of(self, pitch_class: int) -> str:
        """What any pitch class is called against this chord: ``3``, ``b9``, ``#11``."""
        return _degree_names(self.root.pitch_class, self.degrees)[pitch_class % 12]


@dataclass(frozen=True, slots=True)
class ChordParts:
    """A symbol in printed pieces: ``root`` and ``kind`` on the line, ``raised``, and the bass."""

    root: str
    kind: str
    raised: str
    bass: str


def parse_chord(symbol: str) -> Chord:
    """Reads a chord symbol.

    Raises InputError, naming the nearest symbol that it would understand.
    """
    return _read(" ".join(symbol.split()))[0]


def chord_parts(chord: Chord) -> ChordParts:
    """The printed pieces of a symbol, with ♭ ♯ ° ø in place of what is typed."""
    return _read(chord.symbol)[1]


def transpose_chord(chord: Chord, interval: Interval) -> Chord:
    """The same chord ``interval`` higher, its symbol rewritten with the new root and bass."""
    text = chord.symbol.translate(_TYPED)
    slash = _SLASH.fullmatch(text)
    head = slash[1] if slash else text
    match = _ROOT.match(head)
    assert match, "a chord's symbol begins with its root"
    root = chord.root.up(interval)
    bass = chord.bass.up(interval) if chord.bass else None
    symbol = root.name + head[match.end() :] + (f"/{bass.name}" if bass else "")
    return Chord(symbol, root, chord.degrees, bass)


@cache
def _read(symbol: str) -> tuple[Chord, ChordParts]:
    text = symbol.translate(_TYPED)
    slash = _SLASH.fullmatch(text)
    head = slash[1].rstrip() if slash else text
    bass = parse_tone(slash[2]) if slash else None
    match = _ROOT.match(head)
    if text in NO_CHORD:
        raise InputError(f"'{symbol}' means that no chord is played: it has no tones; name a chord")
    if not match:
        raise InputError(f"'{symbol}' is not a chord; begin with a root A to G, such as Bbm7, or write N.C.")
    root = parse_tone(match[0])
    kind = _WORDS.sub(lambda word: word[0].lower(), head[match.end() :])
    found = _read_kind(kind)
    if found is None:
        raise InputError(f"chord '{symbol}' is not known; did you mean '{match[0]}{_nearest(kind)}'?")
    degrees, on_line, raised = found
    chord = Chord(symbol, root, degrees, bass)
    return chord, ChordParts(root.printed, on_line, raised, bass.printed if bass else "")


def _read_kind(kind: str) -> tuple[tuple[str, ...], str, str] | None:
    """Degrees and printed pieces of what stands behind a root; None where it is not understood."""
    for length in range(min(_LONGEST, len(kind)), -1, -1):
        if kind[:length] in _BASE:
            _, base, on_line, raised = _BASE[kind[:length]]
            changed = _modify(base.split(), kind[length:])
            if changed is not None:
                degrees, marks = changed
                return _rising(degrees), on_line, _raised(raised, marks)
    return None


def _modify(degrees: list[str], text: str) -> tuple[list[str], list[str]] | None:
    """Applies the modifiers in ``text``; gives the degrees and the marks to print, or None."""
    marks: list[str] = []
    position = 0
    while position < len(text):
        match = _MODIFIER.match(text, position)
        if not match:
            return None
        position = match.end()
        got = match.groupdict()
        if got["gap"]:
            continue
        if got["add"]:
            degrees = _with(degrees, got["add"])
            marks.append(f"add{got['add']}")
        elif got["omit"]:
            if not any(degree.lstrip("b#") == got["omit"] for degree in degrees):
                return None
            degrees = [degree for degree in degrees if degree.lstrip("b#") != got["omit"]]
            marks.append(f"no{got['omit']}")
        elif got["sus"] is not None:
            degrees = _with([degree for degree in degrees if degree not in ("3", "b3")], got["sus"] or "4")
            marks.append(f"sus{got['sus'] or '4'}")
        elif got["alt"]:
            degrees = [d for d in degrees if d not in ("5", "9")] + ["b9", "#9", "#11", "b13"]
            marks.append("alt")
        elif got["raise"]:
            degrees = _altered(degrees, "#5")
            marks.append("#5")
        elif got["major"]:
            if "b7" in degrees:
                return None
            degrees = _with(degrees, "7")
            marks.append("maj7")
        elif got["bare"]:
            if any(degree.lstrip("b#") == got["bare"] != degree for degree in degrees):
                return None
            degrees = _with(degrees, got["bare"])
            marks.append(got["bare"])
        else:
            degree = got["degree"] or got["tail"]
            sign = got["sign"] or got["tail_sign"]
            mark = {"+": "#", "-": "b"}.get(sign, sign) + degree
            degrees = _altered(degrees, mark)
            marks.append(mark)
    return degrees, marks


def _with(degrees: list[str], degree: str) -> list[str]:
    return degrees if degree in degrees else [*degrees, degree]


def _altered(degrees: list[str], mark: str) -> list[str]:
    """Puts an altered degree in the place of the plain one; ♭9 and ♯9 may stand together."""
    return _with([degree for degree in degrees if degree != mark.lstrip("b#")], mark)


def _rising(degrees: list[str]) -> tuple[str, ...]:
    return tuple(sorted(degrees, key=lambda d: (degree_interval(d).steps, degree_interval(d).semitones)))


def _raised(before: str, marks: list[str]) -> str:
    """Base and marks as they are printed: ``7`` with 9 and 13 becomes ``13``, alterations stand
    bare behind it, and the rest in brackets."""
    text = before
    if "7" in before and {"9", "b9", "#9"} & set(marks):
        top = next((mark for mark in ("13", "11", "9") if mark in marks), "7")
        text = before.replace("7", top)
        marks = [mark for mark in marks if mark not in ("9", "11", "13")]
    for mark in marks:
        bare = mark[0] in "b#" and before
        text += mark if bare or mark.startswith(("sus", "alt")) else f"({mark})"
    return text.replace("b", "♭").replace("#", "♯")


@cache
def _family(degrees: frozenset[str]) -> Family:
    if "b3" in degrees:
        if "b5" in degrees and "5" not in degrees:
            return "half-diminished" if "b7" in degrees else "diminished"
        return "minor-major" if "7" in degrees else "minor"
    if "3" not in degrees and degrees & {"4", "2"}:
        return "suspended"
    if "b7" in degrees:
        return "dominant"
    if "3" in degrees:
        return "augmented" if "#5" in degrees else "major"
    return "power"


@cache
def _degree_names(root: int, degrees: tuple[str, ...]) -> tuple[str, ...]:
    """The names of pitch classes 0 to 11 against a chord on ``root``."""
    names = list(_BY_SEMITONE)
    if "b3" in degrees:
        names[3] = "b3"
    for degree in degrees:
        names[degree_interval(degree).semitones % 12] = degree
    return tuple(names[(pitch_class - root) % 12] for pitch_class in range(12))


def _nearest(kind: str) -> str:
    """The known spelling most like ``kind``: tried with its last letters dropped, then by likeness."""
    altered = ["7b9", "7#9", "7#11", "13b9", "m7b5", "maj7#11", "7b5", "7#5", "add9"]
    common = [row[0][0] for row in _BASES] + altered
    close = get_close_matches(kind, common, n=1, cutoff=0.5)
    if close:
        return close[0]
    for length in range(len(kind) - 1, 0, -1):
        if _read_kind(kind[:length]):
            return kind[:length].rstrip(" (,[")
    return ""
