"""A piece of neck seen from above, in true proportion: where a shape lies, or where a note is played.

The high string is on top, as in tablature; frets shrink up the neck as they do under the hand. A mark
stands behind its fret, in the middle between two wires; an open string's stands left of the nut.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from solowright.neck.geometry import fret_distance
from solowright.page.drawing import BLACK, BLUE, GREY, Box, Mark, letters, line, number, path, write_svg

DOTTED = (3, 5, 7, 9, 12, 15, 17, 19, 21, 24)  # frets that carry an inlay on most necks
_OPEN = 13.0  # points left of the nut, or of the first wire, where open strings are marked
_UNDER = 9.5  # points for the fret numbers
_PALE = "#d8d8d8"
_INLAY = "#ececec"


@dataclass(frozen=True, slots=True)
class Dot:
    """A mark on the neck: a finger, a degree or nothing written in it. ``first`` ones are filled, the
    others open circles, so that a root stands out without its colour."""

    string: int
    fret: int
    text: str = ""
    first: bool = True


@dataclass(frozen=True, slots=True)
class Neck:
    """Frets ``low`` to ``high`` (the spaces behind them) of a neck, drawn ``width`` points wide with
    strings ``space`` apart. ``low`` 1 shows the nut."""

    strings: int
    low: int
    high: int
    width: float
    space: float = 9.0

    @property
    def height(self) -> float:
        """Points from the top of the picture to its foot."""
        return self.space * self.strings + _UNDER

    def wire(self, fret: int) -> float:
        """The x of a fret's wire."""
        start, end = fret_distance(self.low - 1), fret_distance(self.high)
        return _OPEN + (fret_distance(fret) - start) / (end - start) * (self.width - _OPEN - 1.0)

    def x(self, fret: int) -> float:
        """Where a finger stands behind a fret; 0 is the open string."""
        return 5.5 if fret == 0 else (self.wire(fret - 1) + self.wire(fret)) / 2

    def y(self, string: int) -> float:
        """The height of a string, 1 the highest."""
        return (string - 0.5) * self.space


def fit_neck(places: Iterable[tuple[int, int]], strings: int, width: float, space: float = 9.0) -> Neck:
    """The shortest neck, of five frets or more, on which all (string, fret) places can be seen."""
    frets = [fret for _, fret in places if fret] or [1]
    low = max(1, min(frets) - (1 if max(frets) - min(frets) < 4 else 0))
    return Neck(strings, low, max(max(frets), low + 4), width, space)


def draw_neck(neck: Neck, dots: Sequence[Dot] = (), title: str = "neck", prefix: str = "n-") -> str:
    """The neck with its marks, as SVG."""
    marks = _board(neck)
    for dot in dots:
        marks += draw_dot(neck.x(dot.fret), neck.y(dot.string), 0.44 * neck.space, dot)
    return write_svg(marks, neck.width, 0.0, neck.height, prefix, title)


def _board(neck: Neck) -> list[Mark]:
    top, foot = neck.y(1), neck.y(neck.strings)
    left, right = neck.wire(neck.low - 1), neck.wire(neck.high)
    marks = []
    for fret in range(neck.low, neck.high + 1):
        if fret in DOTTED:
            rows = (1.5, neck.strings - 0.5) if fret % 12 == 0 else ((neck.strings + 1) / 2,)
            x = neck.x(fret)
            marks += [disc("inlay", x, (row - 0.5) * neck.space, 2.6, _INLAY) for row in rows]
            marks.append(letters("number", str(fret), x, neck.height - 1.8, 6.2, "sans", "middle", GREY))
    for fret in range(neck.low - 1, neck.high + 1):
        nut = fret == 0
        x = neck.wire(fret)
        marks.append(line("wire", x, top, x, foot, 2.2 if nut else 0.6, GREY if nut else _PALE))
    for string in range(1, neck.strings + 1):
        thick = 0.35 + 0.13 * (string - 1)
        marks.append(line("string", left, neck.y(string), right, neck.y(string), thick, GREY))
    return marks


def draw_dot(x: float, y: float, radius: float, dot: Dot) -> list[Mark]:
    """A mark around a point."""
    marks = [disc("dot", x, y, radius, BLUE)]
    if not dot.first:
        marks.append(disc("dot", x, y, radius - 0.8, "#ffffff"))
    if dot.text:
        ink = "#ffffff" if dot.first else BLUE
        size = radius * (1.45 if len(dot.text) < 2 else 1.15)
        marks.append(letters("dot-text", dot.text, x, y + 0.33 * size, size, "sans-bold", "middle", ink))
    return marks


def disc(kind: str, x: float, y: float, radius: float, ink: str = BLACK) -> Mark:
    """A filled circle around a point."""
    r, across = number(radius), number(2 * radius)
    d = f"M{number(x - radius)} {number(y)}a{r} {r} 0 1 0 {across} 0a{r} {r} 0 1 0 -{across} 0Z"
    return path(kind, d, Box(x - radius, y - radius, x + radius, y + radius), 0.0, ink)
