"""Letters and music signs as outlines, with their widths and extents.

Text is drawn as outlines so that the page looks the same in a browser and in print, whatever fonts
are there. Text faces: Source Sans Pro and Source Serif Pro (SIL Open Font License 1.1, from the
packages ``font-source-sans-pro`` and ``font-source-serif-pro``); music signs: Bravura (SIL OFL 1.1,
in verovio's data). Units: thousandths of an em in fonts, points where a size is given.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Any, Literal
from xml.etree import ElementTree

import verovio
from fontTools.pens.boundsPen import BoundsPen  # type: ignore[import-untyped]
from fontTools.pens.svgPathPen import SVGPathPen  # type: ignore[import-untyped]
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

Face = Literal["sans", "sans-italic", "sans-bold", "serif", "serif-italic", "serif-bold"]
Extent = tuple[float, float, float, float]  # left, bottom, right, top: y up, thousandths of an em

_FILES: dict[Face, tuple[str, str]] = {
    "sans": ("font_source_sans_pro", "SourceSansPro-Regular.otf"),
    "sans-italic": ("font_source_sans_pro", "SourceSansPro-It.otf"),
    "sans-bold": ("font_source_sans_pro", "SourceSansPro-Semibold.otf"),
    "serif": ("font_source_serif_pro", "SourceSerifPro-Regular.otf"),
    "serif-italic": ("font_source_serif_pro", "SourceSerifPro-It.otf"),
    "serif-bold": ("font_source_serif_pro", "SourceSerifPro-Semibold.otf"),
}
TEXT_FONT_FOLDERS = tuple(
    Path(str(files(package))) / "files" for package in ("font_source_sans_pro", "font_source_serif_pro")
)

# Accidentals inside text are music signs: code, and how far they are lifted off the baseline so
# that they stand like capitals (thousandths of the text's em).
_SIGNS = {"♭": ("E260", 190), "♯": ("E262", 335), "♮": ("E261", 335)}
_SIGN_SCALE = 1.15
_SIGN_AIR = 40  # behind a sign


@dataclass(frozen=True, slots=True)
class Glyph:
    """One outline: the key it is filed under in a drawing's ``defs``, path, extent and width."""

    key: str
    path: str
    extent: Extent
    width: float


@dataclass(frozen=True, slots=True)
class Set:
    """A glyph set in a run of text: offset and lift in ems of the run, and its own scale."""

    glyph: Glyph
    x: float
    lift: float = 0.0
    scale: float = 1.0


@dataclass(frozen=True, slots=True)
class Run:
    """A line of set text: ``width`` is its advance, ``extent`` the ink, both in ems."""

    glyphs: tuple[Set, ...]
    width: float
    extent: Extent


@dataclass(frozen=True)
class _Font:
    code: Face
    font: TTFont
    letters: dict[int, str]
    pairs: tuple[Any, ...]


@cache
def sign(code: str) -> Glyph:
    """A music sign by its SMuFL code point in hex, such as ``E0A4`` for a black notehead."""
    extent = sign_extent(code)
    text = (_bravura() / f"{code}.xml").read_text("utf-8")
    path = re.search(r' d="([^"]*)"', text)
    assert path, f"{code} has an outline"
    return Glyph(code, path[1], extent, float(_sign_table()[code].get("h-a-x") or extent[2]))


@cache
def sign_extent(code: str) -> Extent:
    """The ink of a music sign: what ``sign`` gives, without reading its outline."""
    entry = _sign_table()[code]
    left, low, width, height = (float(entry[name]) for name in ("x", "y", "w", "h"))
    return (left, low, left + width, low + height)


def _bravura() -> Path:
    return Path(verovio.__file__).parent / "data" / "Bravura"


@cache
def _sign_table() -> dict[str, dict[str, str]]:
    root = ElementTree.parse(_bravura().with_suffix(".xml")).getroot()
    return {entry.attrib["c"]: entry.attrib for entry in root.iter("g")}


@cache
def _font(face: Face) -> _Font:
    package, name = _FILES[face]
    font = TTFont(Path(str(files(package))) / "files" / name, lazy=True)
    return _Font(face, font, font.getBestCmap(), _pair_tables(font))


def _pair_tables(font: TTFont) -> tuple[Any, ...]:
    """The pair-kerning tables of a font's GPOS, unwrapped, in their order."""
    table = font["GPOS"].table
    wanted = {index for record in table.FeatureList.FeatureRecord if record.FeatureTag == "kern"
              for index in record.Feature.LookupListIndex}
    subtables = (subtable for index in sorted(wanted) for subtable in table.LookupList.Lookup[index].SubTable)
    unwrapped = (getattr(subtable, "ExtSubTable", subtable) for subtable in subtables)
    return tuple(subtable for subtable in unwrapped if subtable.LookupType == 2)


@cache
def _kern(face: Face, first: str, second: str) -> float:
    """How much closer (negative) two letters of a face stand, in thousandths of an em."""
    for table in _font(face).pairs:
        if first not in table.Coverage.glyphs:
            continue
        if table.Format == 1:
            row = table.PairSet[table.Coverage.glyphs.index(first)].PairValueRecord
            value = next((record.Value1 for record in row if record.SecondGlyph == second), None)
        else:
            row = table.Class1Record[table.ClassDef1.classDefs.get(first, 0)].Class2Record
            value = row[table.ClassDef2.classDefs.get(second, 0)].Value1
        if value is not None:
            return float(getattr(value, "XAdvance", 0) or 0)
    return 0.0


@cache
def _letter(face: Face, name: str) -> Glyph:
    font = _font(face)
    shapes = font.font.getGlyphSet()
    shape = shapes[name]
    pen, bounds = SVGPathPen(shapes, ntos=lambda value: f"{value:g}"), BoundsPen(shapes)
    shape.draw(pen)
    shape.draw(bounds)
    key = f"{font.code}-{name}"
    return Glyph(key, pen.getCommands(), bounds.bounds or (0, 0, 0, 0), shape.width)


@cache
def glyph_by_key(key: str) -> Glyph:
    """The outline filed under a key: a music sign's code, or face and letter of text."""
    for face in _FILES:
        if key.startswith(f"{face}-") and key[len(face) + 1 :] in _font(face).font.getGlyphSet():
            return _letter(face, key[len(face) + 1 :])
    return sign(key)


@lru_cache(8192)  # a server sets ever new sentences
def set_text(text: str, face: Face) -> Run:
    """Sets one line of text at size 1; what the face lacks is taken from the upright face."""
    row = list(_set_row(text, face))
    placed = [item for item, _ in row]
    x = row[-1][1] if row else 0.0
    inked = [item for item in placed if item.glyph.path]
    if not inked:
        return Run((), x, (0.0, 0.0, x, 0.0))
    extent = (
        min(item.x + item.glyph.extent[0] * item.scale / 1000 for item in inked),
        min(item.lift + item.glyph.extent[1] * item.scale / 1000 for item in inked),
        max(item.x + item.glyph.extent[2] * item.scale / 1000 for item in inked),
        max(item.lift + item.glyph.extent[3] * item.scale / 1000 for item in inked),
    )
    return Run(tuple(inked), x, extent)


def _set_row(text: str, face: Face) -> Iterator[tuple[Set, float]]:
    """Letter by letter: what is set, and where the line has come to behind it."""
    x, previous = 0.0, ""
    font = _font(face)
    for letter in text:
        if letter in _SIGNS:
            code, lift = _SIGNS[letter]
            glyph = sign(code)
            item = Set(glyph, x, lift / 1000, _SIGN_SCALE)
            x += (glyph.extent[2] * _SIGN_SCALE + _SIGN_AIR) / 1000
            previous = ""
            yield item, x
            continue
        used: Face = face
        if ord(letter) not in font.letters:
            used = "serif" if face.startswith("serif") else "sans"
        name = _font(used).letters.get(ord(letter), ".notdef")
        x += _kern(face, previous, name) / 1000 if used == face and previous else 0
        glyph = _letter(used, name)
        item = Set(glyph, x)
        x += glyph.width / 1000
        previous = name if used == face else ""
        yield item, x


def text_width(text: str, face: Face, size: float) -> float:
    """Points that a line of text takes from start to end."""
    return set_text(text, face).width * size


def wrap(text: str, face: Face, size: float, width: float) -> list[str]:
    """Breaks text into lines no wider than ``width`` points; a longer word stands alone."""
    rest = " ".join(text.split())
    lines = []
    while rest:
        ends = [stop for stop in _word_ends(rest, face) if stop[1] * size <= width]
        stop = ends[-1][0] if ends else len(rest.split(" ", 1)[0])
        lines.append(rest[:stop])
        rest = rest[stop + 1 :]
    return lines


@lru_cache(2048)  # rests of sentences
def _word_ends(text: str, face: Face) -> tuple[tuple[int, float], ...]:
    """For each word of a line (how many letters end with it, how wide that is at size 1)."""
    widths = [x for _, x in _set_row(text, face)]
    stops = [place for place, letter in enumerate(text) if letter == " "]
    return tuple((stop, widths[stop - 1]) for stop in (*stops, len(text)))
