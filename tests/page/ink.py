"""What a finished SVG puts where, read back without any of the package's own code.

Outlines are followed through every transform and ``use``; a shape is a cloud of points half a point
apart at most, so a stem or a slur counts as its ink and not as a box.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from math import dist

import numpy as np
from fontTools.misc.transform import Identity, Transform
from fontTools.pens.recordingPen import RecordingPen
from fontTools.svgLib.path import parse_path
from lxml import etree

SVG = "{http://www.w3.org/2000/svg}"
Point = tuple[float, float]
Rect = tuple[float, float, float, float]


@dataclass(frozen=True)
class Ink:
    kind: str
    text: str
    points: np.ndarray  # (number of points, 2)
    box: Rect

    def enters(self, box: Rect) -> bool:
        """Whether any of the ink lies inside a box."""
        mine = self.box
        if mine[0] >= box[2] or box[0] >= mine[2] or mine[1] >= box[3] or box[1] >= mine[3]:
            return False
        return bool(((self.points > box[:2]) & (self.points < box[2:])).all(axis=1).any())


def make_ink(kind: str, text: str, shapes: list[list[Point]]) -> Ink:
    points = np.array([point for shape in shapes for point in shape])
    (left, top), (right, bottom) = points.min(axis=0), points.max(axis=0)
    return Ink(kind, text, points, (float(left), float(top), float(right), float(bottom)))


def read_ink(svg: str) -> tuple[Rect, list[Ink]]:
    """The page (left, top, right, bottom) and everything drawn on it, in order."""
    root = etree.fromstring(svg.encode())
    left, top, width, height = map(float, root.get("viewBox").split())
    outlines = {path.get("id"): path for path in root.iter(f"{SVG}path") if path.get("id")}
    inks = []
    for group in root:
        if group.tag != f"{SVG}g":
            continue
        shapes = list(walk(group, Identity, outlines))
        if shapes:
            inks.append(make_ink(group.get("class"), group.get("data-text", ""), shapes))
    return (left, top, left + width, top + height), inks


def read_parts(svg: str, *kinds: str) -> list[Ink]:
    """The drawn parts of the notation of some kinds, such as ``accid``."""
    root = etree.fromstring(svg.encode())
    outlines = {path.get("id"): path for path in root.iter(f"{SVG}path") if path.get("id")}
    parts = []
    for group in root.iter(f"{SVG}g"):
        if group.get("class") in kinds:
            transform = Identity
            for outer in reversed(list(group.iterancestors())):
                transform = transform.transform(read_transform(outer.get("transform", "")))
            shapes = list(walk(group, transform, outlines))
            if shapes:
                parts.append(make_ink(group.get("class"), "", shapes))
    return parts


def walk(element, transform: Transform, outlines):
    if element.get("visibility") == "hidden":
        return
    transform = transform.transform(read_transform(element.get("transform", "")))
    name = etree.QName(element).localname
    if name == "use":
        moved = transform.translate(float(element.get("x", 0)), float(element.get("y", 0)))
        href = element.get("href") or element.get("{http://www.w3.org/1999/xlink}href")
        yield from walk(outlines[href[1:]], moved, outlines)
    elif name == "path":
        yield trace(element.get("d"), transform)
    elif name in ("polygon", "polyline"):
        numbers = element.get("points").replace(",", " ").split()
        corners = " ".join(numbers)
        yield trace(f"M{corners}" + ("Z" if name == "polygon" else ""), transform)
    elif name == "ellipse":
        x, y, rx, ry = (float(element.get(key)) for key in ("cx", "cy", "rx", "ry"))
        yield trace(f"M{x - rx} {y}L{x} {y - ry}L{x + rx} {y}L{x} {y + ry}Z", transform)
    elif name == "rect":
        x, y, w, h = (float(element.get(key)) for key in ("x", "y", "width", "height"))
        yield trace(f"M{x} {y}h{w}v{h}h{-w}Z", transform)
    for child in element:
        yield from walk(child, transform, outlines)


def read_transform(text: str) -> Transform:
    result = Identity
    for name, inside in re.findall(r"(\w+)\(([^)]*)\)", text):
        numbers = [float(number) for number in inside.replace(",", " ").split()]
        if name == "translate":
            result = result.translate(numbers[0], numbers[1] if len(numbers) > 1 else 0.0)
        else:
            assert name == "scale", text
            result = result.scale(numbers[0], numbers[-1])
    return result


@cache
def read_path(d: str) -> list[tuple[str, tuple[Point, ...]]]:
    pen = RecordingPen()
    parse_path(d, pen)
    return pen.value


def trace(d: str, transform: Transform) -> list[Point]:
    points: list[Point] = []
    start = here = (0.0, 0.0)
    for name, args in read_path(d):
        corners = [transform.transformPoint(arg) for arg in args]
        if name == "moveTo":
            start = here = corners[0]
            points.append(here)
            continue
        if name in ("closePath", "endPath"):
            corners = [start] if name == "closePath" else [here]
        length = sum(dist(a, b) for a, b in pairwise([here, *corners]))
        steps = max(1, int(length / 0.5))
        points += [bezier([here, *corners], step / steps) for step in range(1, steps + 1)]
        here = corners[-1]
    return points


def bezier(corners: list[Point], t: float) -> Point:
    while len(corners) > 1:
        corners = [
            (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t)
            for a, b in pairwise(corners)
        ]
    return corners[0]
