"""The signs of ABC 2.1 music code, each with the line and column where it stands.

Source: The abc music standard 2.1 (Dec 2011), section 4. One row of the table is one kind of sign;
the rows are tried in order, so the longer signs stand above the shorter ones they begin with.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

_LENGTH = r"(?P<{0}>\d*/*\d*)"
_SIGNS = (
    ("comment", r"%.*"),
    ("field", r"\[(?P<letter>[A-Za-z]):(?P<value>[^\]]*)\]"),
    ("bar", r"\.?(?:\[\||:*\||::+|:\])[|\]:]*"),
    ("ending", r"\[?(?P<numbers>\d+(?:-\d+)?(?:,\d+(?:-\d+)?)*)"),
    ("tuplet", r"\((?P<p>\d+)(?::(?P<q>\d*))?(?::(?P<r>\d*))?"),
    ("slur", r"\.?\("),
    ("slur_end", r"\)"),
    ("text", r'"(?P<quoted>[^"]*)"'),
    ("mark", r"!(?P<name>[^!\s|\[\]]+)!|\+(?P<old_name>[^+\s|\[\]]+)\+"),
    ("grace", r"\{/?"),
    ("grace_end", r"\}"),
    ("note", r"(?P<sign>\^{1,3}|_{1,3}|=)?(?P<step>[A-Ga-g])(?P<octave>[,']*)" + _LENGTH.format("length")),
    ("rest", r"[zx]" + _LENGTH.format("rest_length")),
    ("bar_rest", r"[ZX](?P<bars>\d*)"),
    ("chord", r"\["),
    ("chord_end", r"\]" + _LENGTH.format("chord_length")),
    ("tie", r"\.?-"),
    ("broken", r">+|<+"),
    ("overlay", r"&"),
    ("space", r"\s+|`+|y\d*|[\\$!*;#?@]"),  # line breaks, spacers, and the standard's reserved signs
    ("symbol", r"[.~H-Wh-w]"),
    ("stray", r"."),
)
_SIGN = re.compile("|".join(f"(?P<{kind}>{pattern})" for kind, pattern in _SIGNS))
_QUIET = ("comment", "space")


@dataclass(frozen=True, slots=True)
class Token:
    """One sign: its ``kind``, its ``text`` and its parts by name, and where it stands."""

    kind: str
    text: str
    parts: dict[str, str | None]
    line: int
    column: int

    def part(self, name: str) -> str:
        """A named part of the sign, empty where it is not written."""
        return self.parts.get(name) or ""


def scan(text: str, line: int, first_column: int = 1) -> Iterator[Token]:
    """The signs of one line of music code, comments and spaces left out."""
    for match in _SIGN.finditer(text):
        kind = match.lastgroup or ""
        if kind not in _QUIET:
            yield Token(kind, match[0], match.groupdict(), line, first_column + match.start())


def scan_lines(lines: Iterable[str], first_line: int) -> Iterator[Token]:
    """The signs of several lines, the first of which is line ``first_line`` of its file."""
    for number, text in enumerate(lines, first_line):
        yield from scan(text, number)


def read_length(text: str) -> Fraction:
    """A note length as written, in unit notes: ``3`` ``3/2`` ``/`` (half) ``//`` (quarter).

    Raises ZeroDivisionError for ``/0`` and ValueError for more slashes than a number can follow.
    """
    if not text:
        return Fraction(1)
    top, slashes, bottom = re.fullmatch(r"(\d*)(/*)(\d*)", text).groups()  # type: ignore[union-attr]
    if bottom and len(slashes) > 1:
        raise ValueError(text)
    return Fraction(int(top or 1), int(bottom) if bottom else 2 ** len(slashes))


def write_length(length: Fraction) -> str:
    """The length in unit notes as ABC writes it: the reverse of ``read_length``."""
    top = "" if length.numerator == 1 else str(length.numerator)
    if length.denominator == 1:
        return top
    return f"{top}/" if length.denominator == 2 else f"{top}/{length.denominator}"
