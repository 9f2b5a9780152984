"""The count row over tablature: ``1 & 2 &``, ``1 e & a``, ``1 t l``, both ways.

Numbers count the meter's own units (eighths in 6/8). A beat counted with dots only, ``1 . . . .``, is
divided evenly; ``+3/16`` behind a number is any other place, as a part of that beat.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from solowright.errors import InputError
from solowright.music.chart import Bar
from solowright.music.time import ZERO, Time

# Parts of a beat by what is said for them; of two words for one part the first is the one we write.
WORDS = {
    "&": Fraction(1, 2),
    "+": Fraction(1, 2),
    "and": Fraction(1, 2),
    "e": Fraction(1, 4),
    "a": Fraction(3, 4),
    "t": Fraction(1, 3),
    "l": Fraction(2, 3),
}
_WORD_OF = {part: word for word, part in reversed(WORDS.items())}
_SAID = ({Fraction(1, 2)}, {Fraction(1, 4), Fraction(1, 2), Fraction(3, 4)}, {Fraction(1, 3), Fraction(2, 3)})
_TOKEN = re.compile(r"\d{1,3}|&|\+\d{1,5}/\d{1,5}|\+|and|e|a|t|l|\.", re.ASCII)
_MOST_PARTS = 8  # into which a beat is divided with dots; finer places are written as fractions


@dataclass(frozen=True, slots=True)
class Count:
    """A word of the count row: its columns from 0 and, once placed, its offset in the bar."""

    word: str
    start: int
    end: int
    offset: Time = ZERO


def is_count_row(text: str) -> bool:
    """Whether a line of tablature is a count row: nothing but its words."""
    words = text.replace("|", " ").split()
    return bool(words) and all(_TOKEN.fullmatch(word) for word in words)


def scan_counts(text: str) -> list[Count]:
    """The words of a count row, barlines left out, not yet placed in their bars."""
    return [Count(match[0], match.start(), match.end()) for match in re.finditer(r"[^\s|]+", text)]


def place_counts(counts: Sequence[Count], bar: Bar, lead_in: Time) -> list[Count]:
    """The counts of one bar with their offsets. Raises InputError where they don't fit the bar."""
    unit = Fraction(4, bar.meter.unit)
    placed: list[Count] = []
    for beat, group in _by_beat(counts, int(lead_in // unit) + 1):
        for count, part in _parts(group):
            offset = (beat - 1 + part) * unit - lead_in
            if not 0 <= offset < bar.length:
                raise InputError(
                    f"too many beats: '{count.word}' is outside the bar, which has {_beats(bar, unit)}; "
                    "correct the count, or the chart"
                )
            if placed and offset <= placed[-1].offset:
                raise InputError(f"the count doesn't go forward at '{count.word}'; correct it")
            placed.append(replace(count, offset=offset))
    said = {count.offset for count in placed}
    for beat in _whole_beats(bar, lead_in, unit):
        if (beat - 1) * unit - lead_in not in said:
            raise InputError(
                f"too few beats: beat {beat} isn't counted, and the bar has {_beats(bar, unit)}; "
                "count every beat, or correct the chart"
            )
    return placed


def _by_beat(counts: Sequence[Count], first: int) -> list[tuple[int, list[Count]]]:
    """The words of each beat, its number among them; words before any number are in the ``first``."""
    groups: list[tuple[int, list[Count]]] = []
    for count in counts:
        if count.word.isdecimal():
            groups.append((int(count.word), []))
        elif not groups:
            groups.append((first, []))
        groups[-1][1].append(count)
    return groups


def _parts(group: list[Count]) -> list[tuple[Count, Fraction]]:
    """Each word of one beat with the part of the beat at which it stands."""
    dots = sum(count.word == "." for count in group)
    parts: list[tuple[Count, Fraction]] = []
    for count in group:
        if count.word.isdecimal():
            parts.append((count, ZERO))
        elif count.word == ".":
            parts.append((count, Fraction(sum(before.word == "." for before, _ in parts) + 1, dots + 1)))
        elif count.word in WORDS and not dots:
            parts.append((count, WORDS[count.word]))
        elif count.word in WORDS:
            raise InputError(f"'{count.word}' and dots can't share a beat; use dots only, or e & a, or t l")
        else:
            above, _, below = count.word[1:].partition("/")
            if int(below) <= int(above):
                raise InputError(f"'{count.word}' is not a part of a beat; write one such as +1/5")
            parts.append((count, Fraction(int(above), int(below))))
    return parts


def _whole_beats(bar: Bar, lead_in: Time, unit: Time) -> range:
    """Numbers of the beats that begin inside the bar."""
    return range(int(-(-lead_in // unit)) + 1, int(-(-(lead_in + bar.length) // unit)) + 1)


def _beats(bar: Bar, unit: Time) -> str:
    beats = bar.length / unit
    return f"{beats} beat{'' if beats == 1 else 's'}" + ("" if bar.short is not None else f" ({bar.meter})")


def write_counts(bar: Bar, lead_in: Time, offsets: Iterable[Time]) -> list[tuple[Time, str]]:
    """What to count in a bar so that every offset has a word: (offset, word) in order."""
    unit = Fraction(4, bar.meter.unit)
    needed: dict[int, set[Fraction]] = {beat: set() for beat in _whole_beats(bar, lead_in, unit)}
    for offset in offsets:
        whole, part = divmod((offset + lead_in) / unit, 1)
        needed.setdefault(int(whole) + 1, set())
        if part:
            needed[int(whole) + 1].add(part)
    if any(parts for parts in needed.values()):
        needed = {beat: parts or _SAID[0] for beat, parts in needed.items()}
    counted: list[tuple[Time, str]] = []
    for beat, parts in sorted(needed.items()):
        start = (beat - 1) * unit - lead_in
        whole = start >= 0 and start + unit <= bar.length
        words = {ZERO: str(beat)} | _say(parts, whole)
        counted += [(start + part * unit, word) for part, word in sorted(words.items())]
    return [(offset, word) for offset, word in counted if 0 <= offset < bar.length]


def _say(parts: set[Fraction], whole: bool) -> dict[Fraction, str]:
    """Words for the parts of a beat; dots only where the ``whole`` beat is in the bar."""
    for said in _SAID:
        if parts <= said:
            return {part: _WORD_OF[part] for part in said} if parts else {}
    for count in range(5, _MOST_PARTS + 1):
        if whole and all((part * count).denominator == 1 for part in parts):
            return {Fraction(dot, count): "." for dot in range(1, count)}
    return {part: f"+{part.numerator}/{part.denominator}" for part in parts}
