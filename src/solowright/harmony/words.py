"""Everything the reading says in words, in one place, so that another language can be added.

A teacher's register: short, with bar and beat, degrees against the chord, and nothing that the
facts handed in don't show.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence

from solowright.music.chart import Place, beat_text

Facts = Mapping[str, object]

INTERVALS = (
    "unison", "half step", "whole step", "third", "third", "fourth", "tritone", "fifth", "sixth", "sixth",
    "seventh", "seventh", "octave",
)  # fmt: skip
TRIAD_WORDS = {"": "major", "m": "minor", "dim": "diminished", "aug": "augmented"}
ROLE_WORDS = {"tension": "a colour, not a chord tone", "blue-note": "a blue note"}
NUMBERS = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip

GUIDE_TONES = ({"3", "♭3"}, {"7", "♭7", "♭♭7"})  # the third and the seventh say a chord by themselves

_TRIAD = re.compile(r"([A-G][b#]*)(m|dim|aug|)")
_FLAT = re.compile(r"(?<=[A-G])b(?!e)|(?<=b)b|b(?=b?\d)")


def printed(text: str) -> str:
    """A typed note, degree, chord or scale with real accidentals: ``Bb7b9`` as ``B♭7♭9``."""
    return _FLAT.sub("♭", text).replace("#", "♯")


def listed(words: Sequence[str]) -> str:
    """``a, b and c``."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def beat_words(place: Place) -> str:
    """``beat 3``, ``the and of 3``, ``beat 3⅓``."""
    if place.beat.denominator == 2:
        return f"the and of {place.beat.numerator // 2}"
    return f"beat {beat_text(place.beat)}"


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


def device_sentence(kind: str, facts: Facts, start: Place, end: Place, turn: int) -> str:
    """The sentence for one device; ``turn`` counts the device among its kind, so that wording varies."""
    return f"{where(start, end)}: {_TELL[kind](facts, turn)}."


def landing_sentence(
    name: str, degree: str, chord: str, role: str, move: int | None, enclosed: bool, place: Place, ahead: bool
) -> str:
    """Where a phrase comes to rest."""
    how = approach_words(move, enclosed)
    if enclosed:
        how = ", taken from above and below"
    elif move in (1, 2, -1, -2):
        how = f", from a {how}"
    else:
        how = ""
    when = f"{beat_words(place)} of bar {place.bar}"
    rest = f" ({ROLE_WORDS[role]})" if role in ROLE_WORDS else ""
    early = ", just ahead of the chord" if ahead else ""
    what = f"{printed(name)}, the {printed(degree)} of {printed(chord)}{rest}"
    return f"The phrase lands on {what}, on {when}{early}{how}."


def triad_words(name: str) -> str:
    """``Bb`` as ``B♭ major triad``."""
    match = _TRIAD.fullmatch(name)
    assert match, "a triad is named by its root and m, dim, aug or nothing"
    return f"{printed(match[1])} {TRIAD_WORDS[match[2]]} triad"


def _a(noun: str) -> str:
    """The noun with its article: a B♭, an A, an E♭, an F."""
    return f"{'an' if noun[0] in 'AEF' else 'a'} {noun}"


def _tone(name: object) -> str:
    """A pitch as it is said in a sentence, without its octave."""
    return printed(str(name).rstrip("-0123456789"))


def _degrees(facts: Facts) -> list[str]:
    degrees = facts["degrees"]
    assert isinstance(degrees, list)
    return [printed(degree) for degree in degrees]


def _chord_arpeggio(facts: Facts, turn: int) -> str:
    chord = printed(str(facts["chord"]))
    degrees = _degrees(facts)
    spelled = ", ".join(degrees)
    if GUIDE_TONES[0] & set(degrees) and GUIDE_TONES[1] & set(degrees):
        return (
            f"{chord} spelled out, {spelled}: you hear the chord without the band",
            f"the arpeggio of {chord} from its {degrees[0]} ({spelled}) states the chord by itself",
        )[turn % 2]
    return (f"the tones of {chord} in turn: {spelled}", f"{chord} spelled out: {spelled}")[turn % 2]


def _upper_triad(facts: Facts, turn: int) -> str:
    over = printed(str(facts["over"]))
    head = f"{_a(triad_words(str(facts['triad'])))} over {over}"
    degrees = listed(_degrees(facts))
    character = facts.get("character")
    if character == "outside":
        return f"{head} steps outside the chord: {degrees}"
    if character == "rootless":
        return f"{head} — that is {degrees}, the chord without its root"
    return (f"{head} — that gives {degrees}", f"{head}, which colours the chord with {degrees}")[turn % 2]


def _scale_run(facts: Facts, turn: int) -> str:
    scale = printed(str(facts["scale"]))
    way = str(facts["direction"])
    passing = facts.get("passing")
    extra = ""
    if isinstance(passing, int) and passing:
        extra = f", with {NUMBERS[passing]} chromatic passing note{'s' if passing > 1 else ''}"
    return (f"{_a(scale)} run going {way}{extra}", f"{way} the {scale} scale{extra}")[turn % 2]


def _chromatic_run(facts: Facts, turn: int) -> str:
    first, last = _tone(facts["first"]), _tone(facts["last"])
    way = str(facts["direction"])
    return (f"half steps {way} from {first} to {last}", f"a chromatic run {way}, {first} to {last}")[turn % 2]


def _enclosure(facts: Facts, turn: int) -> str:
    notes = facts["notes"]
    assert isinstance(notes, list)
    target, degree = _tone(facts["target"]), printed(str(facts["degree"]))
    around = listed([_tone(note) for note in notes])
    chord = printed(str(facts["over"]))
    return (
        f"{around} surround {target}, the {degree} of {chord}",
        f"{target}, the {degree} of {chord}, is taken from both sides: {around} first",
    )[turn % 2]


_TELL: dict[str, Callable[[Facts, int], str]] = {
    "chord-arpeggio": _chord_arpeggio,
    "upper-triad": _upper_triad,
    "scale-run": _scale_run,
    "chromatic-run": _chromatic_run,
    "enclosure": _enclosure,
}
