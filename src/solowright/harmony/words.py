"""Everything the reading says in words, in one place, so that another language can be added.

A teacher's register: short, with bar and beat, degrees against the chord, and nothing that the
facts handed in don't show.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from fractions import Fraction

from solowright.music.chart import Place
from solowright.music.chord import chord_parts, parse_chord
from solowright.music.pitch import degree_interval, parse_tone

Facts = Mapping[str, object]

INTERVALS = (
    "unison", "half step", "whole step", "third", "third", "fourth", "tritone", "fifth", "sixth", "sixth",
    "seventh", "seventh", "octave",
)  # fmt: skip
DEGREE_WORDS = {
    "1": "root", "2": "second", "b3": "minor third", "3": "third", "4": "fourth", "5": "fifth", "6": "sixth",
    "bb7": "diminished seventh", "b7": "seventh", "7": "major seventh", "9": "ninth", "11": "eleventh",
    "13": "thirteenth",
}  # fmt: skip
# Parts of a beat as they are counted: 1 e and a; triplets 1 t l.
PARTS_OF_BEAT = {
    Fraction(1, 4): "e", Fraction(1, 2): "and", Fraction(3, 4): "a",
    Fraction(1, 3): "second triplet", Fraction(2, 3): "third triplet",
}  # fmt: skip
QUARTER = Fraction(1, 4)
SCALE_WORDS = {"ionian": "major", "aeolian": "natural minor"}
# Modes that players call by the scale they come from, and their place in it: common practice, no source.
PARENTS = {"locrian natural 6": ("harmonic minor", "2"), "ionian #5": ("harmonic minor", "b3")}
TRIAD_WORDS = {"": "major", "m": "minor", "dim": "diminished", "aug": "augmented"}
ROLE_WORDS = {"tension": "a colour", "blue-note": "a blue note"}


_TRIAD = re.compile(r"([A-G][b#]*)(m|dim|aug|)")
_FLAT = re.compile(r"(?<=[A-G])b(?!e)|(?<=b)b|b(?=b?\d)")


def printed(text: str) -> str:
    """A typed note, degree, chord or scale with real accidentals: ``Bb7b9`` as ``B♭7♭9``."""
    return _FLAT.sub("♭", text).replace("#", "♯")


def printed_chord(symbol: object) -> str:
    """A typed chord symbol as it is printed: ``Bb-7b5`` as ``B♭m7♭5``."""
    if symbol == "N.C.":
        return "N.C."
    parts = chord_parts(parse_chord(str(symbol)))
    raised = parts.raised
    if parts.kind == "m" and raised.startswith("maj"):  # what stands raised on the page needs brackets here
        raised = f"({raised})"
    return parts.root + parts.kind + raised + (f"/{parts.bass}" if parts.bass else "")


def listed(words: Sequence[str]) -> str:
    """``a, b and c``."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def degree_words(degree: str) -> str:
    """A degree as it is said behind "the": ``root``, ``minor third``, ``♭9``."""
    return DEGREE_WORDS.get(degree, printed(degree))


def beat_words(place: Place) -> str:
    """``beat 3``, ``the and of 3``, ``the second triplet of 3``, ``the e of 3``, or what counted part of
    the beat is nearest: ``just after the and of 3``, ``the end of beat 3``."""
    whole, rest = divmod(place.beat, 1)
    if not rest:
        return f"beat {whole}"
    if rest in PARTS_OF_BEAT:
        return f"the {PARTS_OF_BEAT[rest]} of {whole}"
    nearest = round(rest / QUARTER) * QUARTER
    if nearest == 1:
        return f"the end of beat {whole}"
    side = "after" if rest > nearest else "before"
    return f"just {side} {beat_words(Place(place.bar, whole + nearest))}"


def where(start: Place, end: Place) -> str:
    """How a sentence about a stretch of time begins: ``Bar 5``, ``Bar 5, beat 3``, ``Bars 5–6``."""
    if start.bar != end.bar:
        return f"Bars {start.bar}–{end.bar}"
    return f"Bar {start.bar}" if start.beat == 1 else f"Bar {start.bar}, {beat_words(start)}"


def approach_words(move: int | None, enclosed: bool) -> str:
    """How a target is reached: ``half step above``, ``enclosure``, ``start of the phrase``."""
    if enclosed:
        return "enclosure"
    if move is None:
        return "start of the phrase"
    if move == 0:
        return "same note"
    side = "below" if move > 0 else "above"
    return f"{INTERVALS[abs(move)] if abs(move) <= 12 else 'leap'} {side}"


def landing_sentence(
    name: str,
    degree: str,
    chord: str,
    role: str,
    move: int | None,
    enclosed: bool,
    place: Place,
    ahead: bool,
    struck: Sequence[str],
    full: bool,
) -> str:
    """Where a phrase comes to rest. ``struck`` are the notes struck together there, from below, of which
    ``name`` is the highest; ``full`` tells that they are the whole chord."""
    how = approach_words(move, enclosed)
    if enclosed:
        how = ", taken from above and below"
    elif move in (1, 2, -1, -2):
        how = f", from a {how}"
    else:
        how = ""
    when = f"bar {place.bar}, {beat_words(place)}"
    rest = f", {ROLE_WORDS[role]}" if role in ROLE_WORDS else ""
    early = ", ahead of the chord" if ahead else ""
    what = f"{printed(name)}, the {degree_words(degree)} of {printed_chord(chord)}{rest}"
    if full and len(struck) > 2:
        what = f"a full {printed_chord(chord)} with {printed(name)}, the {degree_words(degree)}, on top"
    elif struck:
        what = f"{'–'.join(map(printed, struck))}, with {what}, on top"
    how = "" if struck else how
    return f"The phrase lands on {what} ({when}{early}){how}."


def and_room(landing: str) -> str:
    """The sentence about where a phrase comes to rest, before an answer of the band."""
    return f"{landing.removesuffix('.')}, and leaves the band room to answer."


def chord_words(
    symbol: str,
    tones: Sequence[str],
    degrees: Sequence[str],
    triads: Sequence[tuple[str, Sequence[str]]],
    scales: Sequence[tuple[str, Sequence[str]]],
) -> str:
    """A chord explained in a few lines: its tones, the triads in its upper part, the scales over it."""

    def row(name: str, items: Sequence[str], width: int) -> str:
        return f"  {printed(name):<{width}}  {' '.join(map(printed, items))}"

    wide = max((len(name) for name, _ in (*triads, *scales)), default=0)
    spelled = [f"{printed(tone)} ({printed(degree)})" for tone, degree in zip(tones, degrees, strict=True)]
    lines = [f"{printed_chord(symbol)}: {', '.join(spelled)}"]
    if triads:
        lines += ["Triads over it, and what they give:", *(row(name, given, wide) for name, given in triads)]
    if scales:
        lines += ["Scales over it, the usual one first:", *(row(name, held, wide) for name, held in scales)]
    return "\n".join(lines)


def scale_words(name: object) -> str:
    """A scale as it is said: ``F ionian`` as ``F major``, ``A locrian natural 6`` as ``G harmonic minor``."""
    root, _, kind = str(name).partition(" ")
    if kind in PARENTS:
        kind, place = PARENTS[kind]
        root = parse_tone(root).up(-degree_interval(place)).name
    return f"{printed(root)} {SCALE_WORDS.get(kind, printed(kind))}"


def triad_words(name: str) -> str:
    """``Bb`` as ``B♭ major triad``."""
    match = _TRIAD.fullmatch(name)
    assert match, "a triad is named by its root and m, dim, aug or nothing"
    return f"{printed(match[1])} {TRIAD_WORDS[match[2]]} triad"


def with_article(noun: str) -> str:
    """The noun with its article: a B♭, an A, an E♭, an F."""
    return f"{'an' if noun[0] in 'AEFaeio' else 'a'} {noun}"


def tone_words(name: object) -> str:
    """A pitch as it is said in a sentence, without its octave."""
    return printed(str(name).rstrip("-0123456789"))
