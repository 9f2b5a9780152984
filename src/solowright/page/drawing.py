"""Marks on paper: each knows the room its ink takes, so that collisions can be seen and tested."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal
from xml.sax.saxutils import quoteattr

from solowright.page.lettering import Face, Set, glyph_by_key, set_text, sign

Anchor = Literal["start", "middle", "end"]

# Inks. Black text on white; colours from the Okabe–Ito palette (Okabe & Ito 2008, "Color Universal
# Design"), never the only carrier of a meaning.
BLACK = "currentColor"
GREY = "#666666"
BLUE = "#0072b2"
VERMILION = "#b84e00"  # the palette's #d55e00, darkened to pass 4.5:1 on white as text


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle in points, y down."""

    left: float
    top: float
    right: float
    bottom: float

    def moved(self, dx: float, dy: float) -> Box:
        return Box(self.left + dx, self.top + dy, self.right + dx, self.bottom + dy)

    def meets(self, other: Box, gap: float = 0.0) -> bool:
        """Whether the two come closer than ``gap`` in both directions."""
        return (
            self.left < other.right + gap
            and other.left < self.right + gap
            and self.top < other.bottom + gap
            and other.top < self.bottom + gap
        )


@dataclass(frozen=True, slots=True)
class Mark:
    """Something drawn: what ``kind`` it is, its ink's box, the SVG, and the text it says."""

    kind: str
    box: Box
    svg: str
    text: str = ""

    def moved(self, dx: float, dy: float) -> Mark:
        svg = f'<g transform="translate({number(dx)},{number(dy)})">{self.svg}</g>'
        return replace(self, box=self.box.moved(dx, dy), svg=svg)


def number(value: float) -> str:
    """A coordinate, to the hundredth of a point."""
    return f"{value:.2f}".rstrip("0").rstrip(".") if value else "0"


def letters(
    kind: str,
    text: str,
    x: float,
    y: float,
    size: float,
    face: Face = "sans",
    anchor: Anchor = "start",
    ink: str = BLACK,
) -> Mark:
    """A line of text whose baseline is at ``y``."""
    run = set_text(text, face)
    left = x - {"start": 0.0, "middle": run.width / 2, "end": run.width}[anchor] * size
    uses = _uses(text, face)
    scale = size / 1000
    svg = f'<g fill="{ink}" transform="translate({number(left)},{number(y)}) scale({scale:.5g})">{uses}</g>'
    low, high = run.extent[1], run.extent[3]
    box = Box(left + run.extent[0] * size, y - high * size, left + run.extent[2] * size, y - low * size)
    return Mark(kind, box, svg, text)


@lru_cache(2048)  # most is short and comes again: frets, fingers, chords
def _uses(text: str, face: Face) -> str:
    """The outlines of a line of text, in thousandths of an em."""
    glyphs = set_text(text, face).glyphs
    return "".join(f'<use href="#{item.glyph.key}" {_where(item)}/>' for item in glyphs)


def _where(item: Set) -> str:
    x, y = number(item.x * 1000), number(-item.lift * 1000)
    if item.scale != 1.0:
        return f'transform="translate({x},{y}) scale({number(item.scale)})"'
    return f'x="{x}"'


def music(kind: str, code: str, x: float, y: float, space: float, ink: str = BLACK, text: str = "") -> Mark:
    """A music sign with its origin at (x, y); ``space`` is the distance of the staff lines it is for."""
    scale = 4 * space / 1000
    left, low, right, high = sign(code).extent
    where = f"translate({number(x)},{number(y)}) scale({scale:.5g})"
    svg = f'<use href="#{code}" fill="{ink}" transform="{where}"/>'
    return Mark(kind, Box(x + left * scale, y - high * scale, x + right * scale, y - low * scale), svg, text)


def path(kind: str, d: str, box: Box, width: float = 0.0, ink: str = BLACK, dash: str = "") -> Mark:
    """An outline filled (width 0) or stroked; the caller knows its box."""
    paint = f'fill="none" stroke="{ink}" stroke-width="{number(width)}"' if width else f'fill="{ink}"'
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return Mark(kind, box, f'<path d="{d}" {paint}{dashes}/>')


def line(
    kind: str, x0: float, y0: float, x1: float, y1: float, width: float, ink: str = BLACK, dash: str = ""
) -> Mark:
    """A straight stroke."""
    half = width / 2
    box = Box(min(x0, x1) - half, min(y0, y1) - half, max(x0, x1) + half, max(y0, y1) + half)
    d = f"M{number(x0)} {number(y0)}L{number(x1)} {number(y1)}"
    return path(kind, d, box, width, ink, dash)


def together(kind: str, marks: Sequence[Mark], text: str = "") -> Mark:
    """Several marks as one."""
    return Mark(kind, around([mark.box for mark in marks]), "".join(mark.svg for mark in marks), text)


def around(boxes: Iterable[Box]) -> Box:
    """The smallest box that holds them all."""
    held = list(boxes)
    return Box(
        min(box.left for box in held),
        min(box.top for box in held),
        max(box.right for box in held),
        max(box.bottom for box in held),
    )


def top_over(boxes: Iterable[Box], left: float, right: float, start: float) -> float:
    """How high (the least y) the ink between ``left`` and ``right`` reaches, ``start`` where lower."""
    return min([start, *(box.top for box in boxes if box.left < right and left < box.right)])


def bottom_under(boxes: Iterable[Box], left: float, right: float, start: float) -> float:
    """How low (the greatest y) the ink between ``left`` and ``right`` reaches."""
    return max([start, *(box.bottom for box in boxes if box.left < right and left < box.right)])


_HREF = 'href="#'
_KEYS = re.compile(_HREF + r'([^"]+)"')


def write_svg(marks: Sequence[Mark], width: float, top: float, bottom: float, prefix: str, title: str) -> str:
    """One SVG document. Outlines stand once in ``defs``, under identifiers that begin with ``prefix``."""
    body = "".join(_tagged(mark, prefix) for mark in marks)
    keys = sorted({key for mark in marks for key in _KEYS.findall(mark.svg)})
    defs = "".join(_definition(key, prefix) for key in keys)
    across, down = number(width), number(bottom - top)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 {number(top)} {across} {down}" '
        f'width="{across}pt" height="{down}pt" color="#111111" fill="currentColor" role="img" '
        f"aria-label={quoteattr(title)}><defs>{defs}</defs>{body}</svg>"
    )


def _tagged(mark: Mark, prefix: str) -> str:
    svg = mark.svg.replace(_HREF, _HREF + prefix)  # not in the text, which may say anything
    return f'<g class="{mark.kind}"{_said(mark.text)}>{svg}</g>'


@lru_cache(2048)
def _said(text: str) -> str:
    return f" data-text={quoteattr(text)}" if text else ""


def _definition(key: str, prefix: str) -> str:
    glyph = glyph_by_key(key)
    return f'<path id="{prefix}{key}" d="{glyph.path}" transform="scale(1,-1)"/>'
