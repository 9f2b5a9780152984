"""Drawings as pixels, in the form that films are coded in: brightness, and colour at half the size.

Each SVG is drawn once, before the first frame is made; a frame is then put together without another
conversion. Brightness and colour difference as in ITU-R BT.709, video range; places are even.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO

import av
import numpy as np
import typst
from numpy.typing import NDArray

from solowright.page.lettering import TEXT_FONT_FOLDERS

Plane = NDArray[np.uint8]

_POINTS = 72.0  # points, and at scale 1 pixels, in an inch
# From red, green and blue, 0 to 255, to brightness and the two colour differences (BT.709).
_TO_PLANES = np.array(
    [[0.1826, 0.6142, 0.0620], [-0.1006, -0.3386, 0.4392], [0.4392, -0.3989, -0.0403]], np.float32
)
_BLACK = np.array([16.0, 128.0, 128.0], np.float32)


@dataclass(frozen=True, slots=True)
class Picture:
    """Planes (brightness, two colours at half the size), and how far each pixel covers: 0 to 256, at
    both sizes. Sides are even."""

    planes: tuple[Plane, Plane, Plane]
    cover: NDArray[np.uint16]
    half_cover: NDArray[np.uint16]

    @property
    def width(self) -> int:
        return int(self.cover.shape[1])

    @property
    def height(self) -> int:
        return int(self.cover.shape[0])


class Frame:
    """A film's picture to lay things on: white to begin with. ``data`` is one array of the planes."""

    def __init__(self, width: int, height: int) -> None:
        self.data = np.full((height * 3 // 2, width), 128, np.uint8)
        self.data[:height] = planes_of("#ffffff")[0]
        self.planes = _split(self.data, width, height)

    def copy(self) -> Frame:
        """The same picture, to be drawn on."""
        twin: Frame = object.__new__(Frame)
        twin.data = self.data.copy()
        height, width = self.planes[0].shape
        twin.planes = _split(twin.data, width, height)
        return twin

    def lay(self, picture: Picture, left: int, top: int) -> None:
        """Lays a picture on by its cover, cut at the edges. Odd places are moved to even ones."""
        left, top = left // 2 * 2, top // 2 * 2
        for n, (on, part) in enumerate(zip(self.planes, picture.planes, strict=True)):
            cover, shrink = (picture.half_cover, 2) if n else (picture.cover, 1)
            _blend(on, part, cover, left // shrink, top // shrink)


def _split(data: Plane, width: int, height: int) -> tuple[Plane, Plane, Plane]:
    quarter = height // 4
    shape = (height // 2, width // 2)
    colours = data[height : height + quarter], data[height + quarter :]
    return data[:height], colours[0].reshape(shape), colours[1].reshape(shape)


def _blend(on: Plane, part: Plane, cover: NDArray[np.uint16], left: int, top: int) -> None:
    rows, columns = on.shape
    a, b = max(0, top), min(rows, top + part.shape[0])
    c, d = max(0, left), min(columns, left + part.shape[1])
    if a >= b or c >= d:
        return
    here = slice(a - top, b - top), slice(c - left, d - left)
    under, share = on[a:b, c:d], cover[here]
    under[:] = (under * (256 - share) + part[here] * share) >> 8


def planes_of(colour: str) -> tuple[int, int, int]:
    """A colour such as ``#0072b2`` as brightness and colour differences."""
    rgb = np.array([int(colour[n : n + 2], 16) for n in (1, 3, 5)], np.float32)
    y, u, v = np.rint(_TO_PLANES @ rgb + _BLACK).astype(int)
    return int(y), int(u), int(v)


def rasterise(drawings: Sequence[tuple[str, float, float]], scale: float) -> list[Picture]:
    """Each (SVG, width, height in points) as pixels, ``scale`` of them a point, on nothing."""
    if not drawings:
        return []
    files: Mapping[str, bytes] = {f"{n}.svg": svg.encode() for n, (svg, _, _) in enumerate(drawings)}
    pages = "\n".join(
        f'#page(width: {width}pt, height: {height}pt)[#image("{n}.svg", width: {width}pt)]'
        for n, (_, width, height) in enumerate(drawings)
    )
    source = f"#set page(margin: 0pt, fill: none)\n{pages}".encode()
    made = typst.compile(
        {**files, "main.typ": source},  # type: ignore[call-overload]
        format="png",
        ppi=_POINTS * scale,
        font_paths=[str(folder) for folder in TEXT_FONT_FOLDERS],
        ignore_system_fonts=True,
    )
    return [_to_picture(_decode(picture)) for picture in (made if isinstance(made, list) else [made])]


def _decode(png: bytes) -> NDArray[np.uint8]:
    """Rows, columns, (red, green, blue, opacity)."""
    with av.open(BytesIO(png), "r") as file:
        frame = next(file.decode(video=0))
        return np.asarray(frame.to_ndarray(format="rgba"), np.uint8)


def _to_picture(pixels: NDArray[np.uint8]) -> Picture:
    rows, columns = pixels.shape[:2]
    even = np.pad(pixels, ((0, rows % 2), (0, columns % 2), (0, 0)))
    shares = even[..., 3].astype(np.float32) / 255.0
    planes = even[..., :3].astype(np.float32) @ _TO_PLANES.T + _BLACK
    halved = _halve(shares)
    weighed = np.stack([_halve(planes[..., n] * shares) for n in (1, 2)])
    colours = np.where(halved > 0, weighed / np.maximum(halved, 1e-6), 128.0)
    y, u, v = (np.rint(plane).clip(0, 255).astype(np.uint8) for plane in (planes[..., 0], *colours))
    return Picture((y, u, v), _to_cover(shares), _to_cover(halved))


def _halve(plane: NDArray[np.float32]) -> NDArray[np.float32]:
    rows, columns = plane.shape
    halved: NDArray[np.float32] = plane.reshape(rows // 2, 2, columns // 2, 2).mean(axis=(1, 3))
    return halved


def _to_cover(shares: NDArray[np.float32]) -> NDArray[np.uint16]:
    cover: NDArray[np.uint16] = np.rint(shares * 256.0).astype(np.uint16)
    return cover
