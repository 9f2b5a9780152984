"""What the text readers share: problems gathered by place, decoding, and numbers as players type them.

A reader goes on after a problem, so that the user sees all of them at once; ``Report.stop`` raises
them together.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from difflib import get_close_matches
from fractions import Fraction
from pathlib import PurePath

from solowright.errors import FileError, Problem

MOST_PROBLEMS = 200  # a file with more is not of the format at all


@dataclass(frozen=True, slots=True)
class TextLine:
    """A line of a file: its number from 1 and its text without the line end."""

    number: int
    text: str


@dataclass(slots=True)
class Report:
    """The problems found in one file so far."""

    file: str
    problems: list[Problem] = field(default_factory=list)

    def add(self, line: int, column: int, text: str) -> None:
        """Notes a problem. ``line`` and ``column`` count from 1."""
        self.problems.append(Problem(self.file, line, column, text))
        if len(self.problems) >= MOST_PROBLEMS:
            self.stop()

    def stop(self) -> None:
        """Raises FileError where anything was found, in the order of the file."""
        if self.problems:
            once = dict.fromkeys(self.problems)
            raise FileError(tuple(sorted(once, key=lambda found: (found.line, found.column))))


def title_of(file: str) -> str:
    """A title from a file's name, for files that bring none; letters that aren't text become ``?``."""
    return PurePath(file).stem.encode("utf-8", "replace").decode()


def decode(data: bytes, file: str) -> str:
    """UTF-8 text, a byte order mark dropped. Raises FileError with the place of the first wrong byte."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = data[: error.start]
        line = before.count(b"\n") + 1
        column = len(before[before.rfind(b"\n") + 1 :].decode("utf-8", "replace")) + 1
        what = f"byte {error.start + 1} is not UTF-8 text; save the file as UTF-8 (it may be cut off)"
        raise FileError((Problem(file, line, column, what),)) from None
    if "\0" in text:
        line = text[: text.index("\0")].count("\n") + 1
        what = f"byte {text.index(chr(0)) + 1} is zero, so this is not a text file; name a sheet"
        raise FileError((Problem(file, line, 1, what),))
    return text


def split_lines(text: str) -> list[TextLine]:
    """The lines with their numbers, without comment lines (``#`` first)."""
    lines = enumerate(re.split(r"\r\n|\r|\n", text), start=1)
    return [TextLine(number, line.rstrip()) for number, line in lines if not line.lstrip().startswith("#")]


def nearest(word: str, words: Iterable[str]) -> str:
    """`` (did you mean 'tempo'?)`` where one of ``words`` is close, else nothing."""
    close = get_close_matches(word.lower(), list(words), 1, 0.6)
    return f" (did you mean '{close[0]}'?)" if close else ""


NUMBER = r"\d{1,5}/\d{1,5}|\d{1,5}(?:⅓|⅔|\.\d{1,6})?|⅓|⅔|\.\d{1,6}"
_NUMBER = re.compile(NUMBER, re.ASCII)
_THIRDS = {"⅓": Fraction(1, 3), "⅔": Fraction(2, 3)}
_THIRDS_TYPED = re.compile(r"\.(33+|66*[67])")  # .33 and .67, .333 and .667, …


def parse_number(text: str) -> Fraction | None:
    """Reads ``3``, ``2.5``, ``1⅓`` (or ``1.33``), ``7/5``; None where it is no such number."""
    if not _NUMBER.fullmatch(text):
        return None
    if "/" in text:
        above, below = map(int, text.split("/"))
        return Fraction(above, below) if below else None
    if text[-1] in _THIRDS:
        return int(text[:-1] or 0) + _THIRDS[text[-1]]
    whole, point, rest = text.partition(".")
    third = _THIRDS_TYPED.fullmatch(point + rest)
    if third:
        return int(whole or 0) + _THIRDS["⅓" if third[1][0] == "3" else "⅔"]
    return Fraction(text)


def number_text(number: Fraction) -> str:
    """The shortest text that ``parse_number`` reads back exactly. ``number`` is not negative."""
    whole, rest = divmod(number, 1)
    if not rest:
        return str(whole)
    for sign, value in _THIRDS.items():
        if rest == value:
            return f"{whole or ''}{sign}"
    decimal = f"{float(number):.4f}".rstrip("0")
    return decimal if parse_number(decimal) == number else f"{number.numerator}/{number.denominator}"
