"""The hand path under a system, on the same time axis as its notes.

Frets stand upward from the nut in true millimetres, so the steps shrink up the neck. One trace is the
index finger, a band what the hand covers while it stays. A dot is a note: plain strings are round and
wound ones square, and the thicker the string the heavier the dot; open strings stand on the floor.
Every shift carries what it costs, and grows thick and warm as its load nears 1.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from solowright.music.tune import Tune
from solowright.neck.fingering import Path
from solowright.neck.geometry import SCALE_MM, fret_distance
from solowright.neck.hand_path import HandPath, HandShift, Stay, trace_hand
from solowright.page.drawing import (
    BLACK,
    BLUE,
    GREY,
    VERMILION,
    Box,
    Mark,
    around,
    letters,
    line,
    number,
    path,
    write_svg,
)
from solowright.page.engrave import System
from solowright.page.lettering import Face, text_width
from solowright.page.staff import KEPT

AMBER = "#966000"  # the palette's #e69f00, darkened to pass 4.5:1 on white as text
_BAND, _LINE, _MARKED = "#dcebf6", "#e6e6e6", "#c8c8c8"
_HEIGHT = 92.0  # from the nut to the highest fret drawn
_LEAST_FRETS = 9
_MARKED_FRETS = (3, 5, 7, 9, 12, 15, 17, 19, 21, 24)
_WARM, _HOT = 0.6, 0.8  # loads
_DOT, _PLAIN = 2.2, 3  # half a dot's size; how many strings are plain, from the highest
_HALF_HEAD = 2.65
_COST, _LANE = 6.2, 8.4  # size of the costs' letters, and of the lanes they stand in
_NUMBER = 5.4


@dataclass(frozen=True, slots=True)
class HandFigure:
    """The hand path of one system as SVG, as wide as the system. ``dots`` holds (note, x, y); ``clock``
    holds (second, x) in order: where the system has come to when. Points from the top left corner, those
    of ``drawn`` as they stood before the drawing began at ``top``."""

    svg: str
    width: float
    height: float
    dots: tuple[tuple[int, float, float], ...]
    clock: tuple[tuple[float, float], ...]
    drawn: tuple[Mark, ...]
    top: float

    def __hash__(self) -> int:
        """Quick: the drawing tells nearly all of it, and a text's hash is worked out once."""
        return hash(self.svg)

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Everything drawn, with the boxes that its ink takes."""
        return tuple(mark.moved(0.0, -self.top) for mark in self.drawn)


def draw_hand_paths(
    tune: Tune,
    fingering: Path,
    systems: Sequence[System],
    scale: float = SCALE_MM,
    hand: HandPath | None = None,
) -> tuple[HandFigure, ...]:
    """A figure for each of a tune's systems; ``scale`` is the neck's in millimetres, ``hand`` the
    hand path of the fingering where it is traced already."""
    hand = hand or trace_hand(tune, fingering)
    top = _top_fret(tune, fingering, hand)
    hand = HandPath(  # what it says of notes is no part of a scene
        tuple(replace(stay, first=0, last=0) for stay in hand.stays),
        tuple(replace(shift, note=0) for shift in hand.shifts),
    )
    figures = []
    for system in systems:
        first = system.notes[0].index if system.notes else 0
        figure = _draw(_set_scene(tune, fingering, hand, system, top, scale))
        figures.append(_stand(figure, first))
    return tuple(figures)


@lru_cache(KEPT)
def _stand(figure: HandFigure, first: int) -> HandFigure:
    """A figure in its tune, of which its notes begin at the ``first``."""
    return replace(figure, dots=tuple((first + note, x, y) for note, x, y in figure.dots))


def _top_fret(tune: Tune, fingering: Path, hand: HandPath) -> int:
    """The highest fret drawn, from the capo: the same for all systems, so that heights compare."""
    used = [placed.fret for placed in fingering.notes] + [stay.high for stay in hand.stays]
    return max([_LEAST_FRETS, *used]) + 1


@dataclass(frozen=True, slots=True)
class _Scene:
    """All that one system's figure depends on. Notes count from the system's first; what stays and
    shifts say of notes is left out."""

    first: int
    last: int
    width: float
    rights: tuple[float, ...]  # of its bars
    notes: tuple[tuple[int, float, int, int, int], ...]  # index, x, string, fret, finger
    stays: tuple[Stay, ...]
    shifts: tuple[HandShift, ...]
    clock: tuple[tuple[float, float], ...]
    top: int
    capo: int
    scale: float


def _set_scene(
    tune: Tune, fingering: Path, hand: HandPath, system: System, top: int, scale: float
) -> _Scene:
    clock = _clock(tune, system)
    start, end = clock[0][0], clock[-1][0]
    notes = [(place, fingering.notes[place.index]) for place in system.notes]
    return _Scene(
        system.first,
        system.last,
        system.width,
        tuple(right for _, _, right in system.bars),
        tuple(
            (
                place.index - system.notes[0].index,
                (place.head.left + place.head.right) / 2,
                placed.string,
                placed.fret,
                placed.finger,
            )
            for place, placed in notes
        ),
        tuple(stay for stay in hand.stays if stay.end > start and stay.start < end),
        tuple(shift for shift in hand.shifts if start <= shift.time < end),
        clock,
        top,
        tune.capo,
        scale,
    )


@lru_cache(KEPT)
def _draw(scene: _Scene) -> HandFigure:
    return _Figure(scene).draw()


class _Figure:
    """One system's figure while it is drawn. x as in the system, y 0 at the nut and upward negative."""

    def __init__(self, scene: _Scene) -> None:
        self.scene, self.top, self.clock = scene, scene.top, scene.clock
        self._mm = [fret_distance(scene.capo + fret, scene.scale) for fret in range(scene.top + 1)]
        self._unit = _HEIGHT / (self._mm[-1] - self._mm[0])
        self.left, self.right = self.clock[0][1] - 5.0, scene.rights[-1]
        self.start, self.end = self.clock[0][0], self.clock[-1][0]

    def y(self, fret: int) -> float:
        return -(self._mm[fret] - self._mm[0]) * self._unit

    def x(self, second: float) -> float:
        """Where the system has come to at a second, held at its ends."""
        at = bisect_right(self.clock, second, key=lambda spot: spot[0])
        if at == 0:
            return self.left
        if at == len(self.clock):
            return self.right
        (before, x0), (after, x1) = self.clock[at - 1], self.clock[at]
        return x0 + (x1 - x0) * (second - before) / (after - before)

    def draw(self) -> HandFigure:
        dots = list(self._dots())
        costs = list(self._costs())
        marks = [*self._ground(), *self._bands(), *self._trace(), *costs]
        marks += [mark for _, _, mark in dots]
        extent = around([mark.box for mark in marks])
        top, foot = extent.top - 1.0, max(extent.bottom, _NUMBER) + 1.0
        svg = write_svg(marks, self.scene.width, top, foot, f"h{self.scene.first}-", self._title())
        frets = {note: fret for note, _, _, fret, _ in self.scene.notes}
        return HandFigure(
            svg,
            self.scene.width,
            foot - top,
            tuple((note, x, self.y(frets[note]) - top) for note, x, _ in dots),
            self.clock,
            tuple(marks),
            top,
        )

    def _ground(self) -> Iterator[Mark]:
        for fret in range(1, self.top + 1):
            y = self.y(fret)
            marked = fret + self.scene.capo in _MARKED_FRETS
            left = 9.0 if marked else self.left
            yield line("fret-line", left, y, self.right, y, 0.4, _MARKED if marked else _LINE)
            if marked:
                yield letters("fret-number", str(fret), 7.0, y + 1.9, _NUMBER, "sans", "end", GREY)
        for right in self.scene.rights:
            yield line("bar-line", right - 0.3, self.y(self.top), right - 0.3, 0.0, 0.5, _MARKED)
        yield line("nut", 9.0, 0.0, self.right, 0.0, 1.1, GREY)
        yield letters("fret-number", "0", 7.0, 1.9, _NUMBER, "sans", "end", GREY)

    def _bands(self) -> Iterator[Mark]:
        for stay in self.scene.stays:
            left, right = self._span(stay.start, stay.end)
            top, bottom = self.y(stay.high) - 3.2, self.y(stay.low) + 3.2
            d = f"M{number(left)} {number(top)}H{number(right)}V{number(bottom)}H{number(left)}Z"
            yield path("stay", d, Box(left, top, right, bottom), ink=_BAND)

    def _span(self, start: float, end: float) -> tuple[float, float]:
        left = self.left if start < self.start else self.x(start) - 3.0
        return left, max(left + 1.0, self.x(end) - 1.0 if end < self.end else self.right)

    def _trace(self) -> Iterator[Mark]:
        for stay in self.scene.stays:
            left, right = self._span(stay.start, stay.end)
            y = self.y(stay.fret)
            yield line("trace", left, y, right, y, 1.3, BLUE)
        for shift in self.scene.shifts:
            x0, x1 = self._run(shift)
            ink, width = _warmth(shift.load)
            yield line("shift", x0, self.y(shift.from_fret), x1, self.y(shift.to_fret), width, ink)

    def _run(self, shift: HandShift) -> tuple[float, float]:
        """From where the hand leaves to where it arrives, at least as wide as can be seen."""
        x1 = self.x(shift.time) - 3.0
        return max(self.left - 4.0, min(self.x(max(shift.leave, self.start)) - 1.0, x1 - 1.5)), x1

    def _costs(self) -> Iterator[Mark]:
        """What each shift costs, in the lowest lane over the frets that has room, with a line down to it."""
        lanes: list[float] = []
        for shift in self.scene.shifts:
            text, (ink, _) = cost_text(shift), _warmth(shift.load)
            face: Face = "sans-bold" if shift.load >= _HOT else "sans"
            wide = text_width(text, face, _COST)
            x0, x1 = self._run(shift)
            middle = (x0 + x1) / 2
            left = min(max(self.left, middle - wide / 2), self.right - wide)
            lane = next((n for n, free in enumerate(lanes) if free < left), len(lanes))
            lanes[lane:] = [left + wide + 5.0, *lanes[lane + 1 :]]
            y = self.y(self.top) - 5.0 - lane * _LANE
            foot = min(self.y(shift.from_fret), self.y(shift.to_fret))
            yield line("leader", middle, y + 1.6, middle, foot - 1.0, 0.35, _MARKED)
            yield letters("cost", text, left, y, _COST, face, ink=ink if ink != BLUE else GREY)

    def _dots(self) -> Iterator[tuple[int, float, Mark]]:
        """Notes at one place and moment (a barre) stand beside each other, the highest string last."""
        at: dict[tuple[float, int], int] = {}
        for note, middle, string, fret, finger in sorted(self.scene.notes, key=lambda note: -note[2]):
            beside = at[round(middle), fret] = at.get((round(middle), fret), -1) + 1
            x = middle + 5.2 * beside
            yield note, x, self._dot(string, finger, x, self.y(fret))

    def _dot(self, string: int, finger: int, x: float, y: float) -> Mark:
        shape = _dot_shape(string, x, y)
        mark = Mark("dot", Box(x - _DOT, y - _DOT, x + _DOT, y + _DOT), shape)
        if not finger:
            return mark
        written = letters("finger", str(finger), x + _DOT + 0.5, y - 2.3, _NUMBER, "sans")
        return Mark("dot", around([mark.box, written.box]), shape + written.svg, str(finger))

    def _title(self) -> str:
        first, last = self.scene.first, self.scene.last
        told = [f"hand path, {f'bars {first} to {last}' if last > first else f'bar {first}'}"]
        if self.scene.stays:
            told.append(f"position {self.scene.stays[0].fret}")
        told += [f"{cost_text(shift)} to position {shift.to_fret}" for shift in self.scene.shifts]
        return "; ".join(told)


def _clock(tune: Tune, system: System) -> tuple[tuple[float, float], ...]:
    """(second, x) of the middle of every notehead's column, and of the last barline; both only grow."""
    clock: list[tuple[float, float]] = []
    for time, left in system.spots[:-1]:
        second, x = tune.seconds(time), left + _HALF_HEAD
        if not clock or (second > clock[-1][0] and x >= clock[-1][1]):
            clock.append((second, x))
    time, right = system.spots[-1]
    return (*clock, (tune.seconds(time), right))


def _warmth(load: float) -> tuple[str, float]:
    """The ink and the width of a shift."""
    ink = VERMILION if load >= _HOT else AMBER if load >= _WARM else BLUE
    return ink, 1.1 + 1.4 * min(1.0, load)


def cost_text(shift: HandShift) -> str:
    """``84 mm in 160 ms``, and ``226 mm in 1.3 s`` where there is time."""
    milliseconds = 1000 * shift.available
    time = f"{milliseconds:.0f} ms" if milliseconds < 1000 else f"{shift.available:.1f} s"
    return f"{shift.travel:.0f} mm in {time}"


def _dot_shape(string: int, x: float, y: float) -> str:
    """A ring, a heavier ring, a disc; then the same as squares; further strings are triangles."""
    kind, weight = divmod(string - 1, _PLAIN)
    half = _DOT - 0.2
    stroke = (0.6, 1.3, 0.0)[weight]
    inner = half - stroke / 2
    paint = f'fill="#ffffff" stroke="{BLACK}" stroke-width="{stroke}"' if stroke else f'fill="{BLACK}"'
    if kind == 0:
        return f'<circle cx="{number(x)}" cy="{number(y)}" r="{number(inner)}" {paint}/>'
    if kind == 1:
        side = number(2 * inner * 0.92)
        corner = f'x="{number(x - inner * 0.92)}" y="{number(y - inner * 0.92)}"'
        return f'<rect {corner} width="{side}" height="{side}" {paint}/>'
    d = f"M{number(x)} {number(y - inner)}l{number(inner)} {number(2 * inner)}h{number(-2 * inner)}Z"
    return f'<path d="{d}" {paint}/>'
