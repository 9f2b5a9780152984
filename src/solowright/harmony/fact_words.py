"""Facts of a device as pieces of a sentence: what the wordings of all devices share."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import cast

from solowright.harmony.words import Facts, printed, with_article
from solowright.music.chord import parse_chord

NUMBERS = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip
MOVES = {
    1: "half steps", 2: "whole steps", 3: "minor thirds", 4: "major thirds", 5: "fourths", 6: "tritones",
    7: "fifths", 8: "minor sixths", 9: "major sixths", 10: "minor sevenths", 11: "major sevenths",
    12: "octaves",
}  # fmt: skip
EXACT = (
    "unison", "half step", "whole step", "minor third", "major third", "fourth", "tritone", "fifth",
    "minor sixth", "major sixth", "minor seventh", "major seventh", "octave",
)  # fmt: skip

SIXTH_CHORDS = {frozenset(("1", "3", "5", "13")): "6", frozenset(("1", "b3", "5", "13")): "m6"}


def number_of(facts: Facts, key: str) -> int:
    """A number among the facts."""
    return int(str(facts[key]))


def names_of(facts: Facts, key: str) -> list[str]:
    """A list of names among the facts, as typed."""
    return [str(name) for name in cast(Iterable[object], facts[key])]


def place_of(facts: Facts, key: str) -> Mapping[str, float]:
    """A bar and beat among the facts."""
    return cast(Mapping[str, float], facts[key])


def degrees_of(facts: Facts) -> list[str]:
    """The degrees among the facts, printed."""
    return [printed(degree) for degree in names_of(facts, "degrees")]


def degrees_in_prose(degrees: list[str]) -> list[str]:
    """Degrees in a list of words, where a bare 1 would read oddly."""
    return ["root" if degree == "1" else printed(degree) for degree in degrees]


def count_words(number: int) -> str:
    """``three``, ``14``."""
    return NUMBERS[number] if number < len(NUMBERS) else str(number)


def times_words(count: int) -> str:
    """``twice``, ``four times``."""
    return "twice" if count == 2 else f"{count_words(count)} times"


def moves_words(interval: int) -> str:
    """``up by minor thirds``."""
    return f"{'up' if interval > 0 else 'down'} by {MOVES.get(abs(interval), f'{abs(interval)} semitones')}"


def away_words(interval: int) -> str:
    """``a whole step lower``; more than an octave in semitones."""
    size = abs(interval)
    name = with_article(EXACT[size]) if size < len(EXACT) else f"{size} semitones"
    return f"{name} {'higher' if interval > 0 else 'lower'}"


def sixth_chord(facts: Facts) -> str | None:
    """``B♭6`` where the seventh chord that a line spells is the chart's own triad with its sixth."""
    kind = SIXTH_CHORDS.get(frozenset(names_of(facts, "degrees")))
    return printed(parse_chord(str(facts["over"])).root.name) + kind if kind else None
