"""The notation staff as verovio lays it out, system by system, brought to points.

Kept from verovio's drawing: the ink, and the places of the notes by identifier. Its barlines, staff
lines and numbers are drawn again by us, through both staves. Origin: left end of the staff, its top
line. Every system is a document of its own, so that only those are laid out again that changed.
"""

from __future__ import annotations

import re
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from importlib.resources import files
from itertools import pairwise

import verovio
from lxml import etree

from solowright.page.drawing import Box, Mark, around
from solowright.page.lettering import sign_extent
from solowright.page.mei import write_mei
from solowright.page.score import Score

SPACE = 4.5  # points between the lines of the notation staff
KEPT = 256  # systems that are kept, of several tunes and widths
SPACINGS = (0.5, 0.36, 0.26, 0.19, 0.14)  # verovio's linear spacing; the wider, the more even

_RESOURCES = str(files("verovio") / "data")
_UNITS = 180  # verovio's, to a staff space at scale 100
_OPTIONS = {
    "font": "Bravura",
    "breaks": "encoded",
    "adjustPageHeight": True,
    "pageHeight": 60000,
    "pageMarginTop": 0,
    "pageMarginBottom": 0,
    "pageMarginLeft": 0,
    "pageMarginRight": 0,
    "scale": 100,
    "header": "none",
    "footer": "none",
    "svgViewBox": True,
    "svgFormatRaw": True,
    "minLastJustification": 0,
    "mnumInterval": 0,
    "spacingNonLinear": 0.6,
    "xmlIdSeed": 1,
}


@dataclass(slots=True)
class Staff:
    """One system's notation: ink, where it is, and where notes and bars stand (points)."""

    marks: list[Mark] = field(default_factory=list)
    band: dict[int, Mark] = field(default_factory=dict)  # by bar index; y 0 is the rhythm's line
    ink: list[Box] = field(default_factory=list)
    heads: dict[str, Box] = field(default_factory=dict)  # noteheads by identifier
    symbols: dict[str, float] = field(default_factory=dict)  # left edge of symbols, rests included
    bars: list[tuple[int, float, float]] = field(default_factory=list)  # index, left, right
    top: float = 0.0  # the top line in verovio's units
    begin: float = 0.0  # where clef and signatures end
    right: float = 0.0  # where the staff lines end: behind a reminder of the next meter


def lay_out(score: Score, spacing: float, width: float) -> Staff:
    """The notation of a passage, ``width`` points wide, at a linear ``spacing``. Not to be changed: it is
    kept for the next passage that is written the same."""
    return lay_out_mei(write_mei(score), 2 if score.shown.start else 1, spacing, width)


@lru_cache(KEPT)
def lay_out_mei(mei: str, page: int, spacing: float, width: float) -> Staff:
    """The same of MEI with a band's staff 1 and a staff 2, named as in ``mei``; ``page`` counts from 1."""
    toolkit = _toolkit()
    page_width = round(width / SPACE * _UNITS / 10)
    toolkit.setOptions({**_OPTIONS, "pageWidth": page_width, "spacingLinear": spacing})
    if not toolkit.loadData(mei):
        raise RuntimeError("verovio refused the score")
    return _read(toolkit.renderToSVG(page), SPACE / _UNITS)


_own = threading.local()


def _toolkit() -> verovio.toolkit:
    """This thread's verovio, which can't be shared between threads."""
    if not hasattr(_own, "toolkit"):
        verovio.enableLog(verovio.LOG_OFF)
        verovio.setDefaultResourcePath(_RESOURCES)  # it is kept for each thread apart
        _own.toolkit = verovio.toolkit()
    toolkit: verovio.toolkit = _own.toolkit
    return toolkit


def _read(svg: str, scale: float) -> Staff:
    staff = Staff()
    root = etree.fromstring(svg.encode())
    for group in root.iter(f"{_SVG}g"):
        kind = group.get("class", "")
        if kind == "measure":
            _read_measure(group, scale, staff)
        elif kind.endswith(_ACROSS):  # what began in the system before stands outside its measures
            view = _View(scale, staff.top)
            _keep(group, list(view.boxes(group)), view, staff)
    return staff


def _keep(element: etree._Element, boxes: list[Box], view: _View, staff: Staff) -> None:
    """Takes over an element's ink as it is drawn."""
    if boxes:
        staff.ink += boxes
        kind = element.get("class", "").split(" id-")[0]
        staff.marks.append(Mark(kind, around(boxes), view.draw(element)))


_SVG = "{http://www.w3.org/2000/svg}"
_LINK = "{http://www.w3.org/1999/xlink}href"
_FURNITURE = ("barLine", "mNum")
_ACROSS = " spanning"
_NUMBERS = re.compile(r"-?\d+(?:\.\d+)?")
# The classes stay that someone may want to colour.
_PLAIN = re.compile(r' (?:xmlns(?::\w+)?|id|class)="(?!note"|notehead"|accid"|rest")[^"]*"')


def _read_measure(measure: etree._Element, scale: float, staff: Staff) -> None:
    index = int(measure.get("id", "bar-0").removeprefix("bar-"))
    parts = {child.get("id", ""): child for child in measure}
    notes, band = parts[f"notes-{index}"], parts[f"band-{index}"]
    lines = [_numbers(child.get("d", "")) for child in notes if child.tag == f"{_SVG}path"]
    top = staff.top = lines[0][1]
    staff.right = lines[0][2] * scale
    left = staff.bars[-1][2] if staff.bars else lines[0][0] * scale
    staff.bars.append((index, left, _barline(measure, lines[0][2]) * scale))
    view = _View(scale, top)
    kept = [child for child in notes if child.tag != f"{_SVG}path"]
    kept += [
        child
        for child in measure
        if child.get("class") not in _FURNITURE and child not in (notes, band) and len(child)
    ]
    for child in kept:
        boxes = list(view.boxes(child))
        if child.get("class") in ("clef", "keySig", "meterSig") and len(staff.bars) == 1:
            staff.begin = max([staff.begin, *(box.right for box in boxes)])
        _keep(child, boxes, view, staff)
    for element in notes.iter(f"{_SVG}g"):
        name = element.get("id", "")
        kind = element.get("class")
        if kind in ("note", "rest", "mRest") and name[:1] in "ns":
            boxes = list(view.own_heads(element))
            if boxes:
                box = around(boxes)
                staff.symbols[name] = box.left
                if kind == "note":
                    staff.heads[name] = box
    _read_band(band, index, scale, staff)


def _barline(measure: etree._Element, end: float) -> float:
    """The right edge of a measure's last barline (a courtesy signature may stand behind it)."""
    strokes = [
        _numbers(stroke.get("d", ""))[0] + float(stroke.get("stroke-width", 0)) / 2
        for child in measure
        if child.get("class") == "barLine"
        for stroke in child.iter(f"{_SVG}path")
    ]
    return max(strokes, default=end)


def _read_band(band: etree._Element, index: int, scale: float, staff: Staff) -> None:
    line = next(child for child in band if child.tag == f"{_SVG}path")
    view = _View(scale, _numbers(line.get("d", ""))[1])
    layer = next((child for child in band if child.get("class") == "layer"), None)
    if layer is None:
        return
    boxes = list(view.boxes(layer))
    if boxes:
        staff.band[index] = Mark("band", around(boxes), view.draw(layer))
    for element in layer.iter(f"{_SVG}g"):
        name = element.get("id", "")
        if element.get("class") in ("note", "rest") and name.startswith("h"):
            heads = list(view.own_heads(element))
            if heads:
                staff.symbols[name] = around(heads).left


@dataclass(frozen=True, slots=True)
class _View:
    """Brings verovio's units to points, with ``top`` (its units) as the new y 0."""

    scale: float
    top: float

    def box(self, left: float, top: float, right: float, bottom: float) -> Box:
        scale = self.scale
        return Box(left * scale, (top - self.top) * scale, right * scale, (bottom - self.top) * scale)

    def draw(self, element: etree._Element) -> str:
        text = etree.tostring(element, encoding="unicode", with_tail=False)
        text = re.sub(r'xlink:href="#(\w+)-\w+"', r'stroke="none" href="#\1"', text)
        text = _PLAIN.sub("", text)
        shift = -self.top * self.scale
        where = f"translate(0,{shift:.2f}) scale({self.scale:.5g})"
        return f'<g stroke="currentColor" transform="{where}">{text}</g>'

    def boxes(self, element: etree._Element) -> Iterator[Box]:
        """The ink of every shape inside an element."""
        if element.get("visibility") == "hidden":
            return
        for shape in element.iter(f"{_SVG}use", f"{_SVG}path", f"{_SVG}polygon", f"{_SVG}polyline",
                                  f"{_SVG}rect", f"{_SVG}ellipse"):
            yield from self._shape(shape)

    def own_heads(self, note: etree._Element) -> Iterator[Box]:
        """The notehead of a note, or the sign of a rest."""
        for child in note:
            if child.get("class") == "notehead":
                for use in child:
                    yield from self._shape(use)
            elif child.tag == f"{_SVG}use":
                yield from self._shape(child)

    def _shape(self, shape: etree._Element) -> Iterator[Box]:
        if shape.tag == f"{_SVG}use":
            x, y, size = _numbers(shape.get("transform", ""))[:3]
            code = shape.get(_LINK, "#")[1:].split("-")[0]
            left, low, right, high = sign_extent(code)
            yield self.box(x + left * size, y - high * size, x + right * size, y - low * size)
        elif shape.tag == f"{_SVG}ellipse":
            x, y, rx, ry = (float(shape.get(name, 0)) for name in ("cx", "cy", "rx", "ry"))
            yield self.box(x - rx, y - ry, x + rx, y + ry)
        elif shape.tag == f"{_SVG}rect":
            x, y, width, height = (float(shape.get(name, 0)) for name in ("x", "y", "width", "height"))
            yield self.box(x, y, x + width, y + height)
        else:
            half = float(shape.get("stroke-width", 0)) / 2
            d = shape.get("d") or shape.get("points") or ""
            points = list(zip(*[iter(_numbers(d))] * 2, strict=False))
            if "C" in d:
                yield from self._curve(points, half)
            elif points:
                xs, ys = zip(*points, strict=True)
                yield self.box(min(xs) - half, min(ys) - half, max(xs) + half, max(ys) + half)

    def _curve(self, points: list[tuple[float, float]], half: float) -> Iterator[Box]:
        """A slur's or tie's outer edge, a Bézier curve, in slices narrow enough to nest text by."""
        start, *rest = points
        for curve in range(0, len(rest) - 2, 3):
            spots = [_bezier((start, *rest[curve : curve + 3]), weights) for weights in _SLICES]
            for (x0, y0), (x1, y1) in pairwise(spots):
                yield self.box(min(x0, x1) - half, min(y0, y1) - half, max(x0, x1) + half, max(y0, y1) + half)
            start = rest[curve + 2]


_Weights = tuple[float, float, float, float]


def _weights(t: float) -> _Weights:
    """What each of a Bézier curve's four points counts at ``t`` (0 to 1)."""
    return (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3


_SLICES = tuple(_weights(step / 8) for step in range(9))


def _bezier(points: tuple[tuple[float, float], ...], weights: _Weights) -> tuple[float, float]:
    a, b, c, d = weights
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = points
    return a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3


def _numbers(text: str) -> list[float]:
    return [float(found) for found in _NUMBERS.findall(text)]
