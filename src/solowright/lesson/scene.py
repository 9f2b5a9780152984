"""The film's picture: the page scrolling past, the hand path under it, the neck, the chord of the moment.

Everything that stands still is drawn once; a frame is a few copies and a few small pictures laid on.
Seconds are those of the tune at show tempo, the count-in before 0; x and y are pixels.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

import numpy as np

from solowright.harmony.reading import Device
from solowright.lesson.raster import Frame, Picture, planes_of, rasterise
from solowright.music.chord import Chord
from solowright.music.time import Time
from solowright.neck import Player, player_for
from solowright.page.drawing import BLUE, GREY, Mark, around, letters, write_svg
from solowright.page.engrave import System, engrave
from solowright.page.hand_path import HandFigure, draw_hand_paths
from solowright.page.neck_figure import Dot, Neck, draw_dot, draw_neck
from solowright.page.over import chord_mark
from solowright.work import Worked

WIDTH, HEIGHT = 1280, 720
_SCALE = 1.65  # pixels a point on the page
_PAGE = (28, 16, 596)  # its left, top and foot
_BESIDE = 888  # where the words beside the page begin
_NECK = (28, 606, 2.0)  # left, top, scale
_DOT = 5.4  # points from a finger's middle to its edge
_AIR = 14  # over and under a system
_TURN = 0.6  # seconds in which the page moves on to the next system
_ARPEGGIOS = ("chord-arpeggio", "superimposed-chord")  # devices named by their chord alone
_MARK = planes_of(BLUE)
_WHITE = planes_of("#ffffff")


@dataclass(frozen=True, slots=True)
class _Row:
    """A system on the long page: where it begins and ends there, and its clock in pixels."""

    top: int
    music: int  # foot of the notation
    foot: int
    start: float
    seconds: tuple[float, ...]
    places: tuple[float, ...]

    def x(self, second: float) -> float:
        return float(np.interp(second, self.seconds, self.places))


class Scene:
    """A worked tune, ready to give the picture of any second."""

    def __init__(self, worked: Worked, player: Player | None = None) -> None:
        self.worked, self.player = worked, player_for(worked.tune, player)
        tune = worked.tune
        systems = engrave(tune)
        hands = draw_hand_paths(tune, worked.fingering.paths[0], systems, self.player.scale)
        self._page, self._rows = _lay_page(systems, hands)
        self._boxes = [_boxes(system, row) for system, row in zip(systems, self._rows, strict=True)]
        notes = tune.line.notes
        self._onsets = [tune.seconds(note.onset) for note in notes]
        self._ends = [tune.seconds(note.end) for note in notes]
        self._neck = Neck(len(tune.tuning), 1, self.player.frets - tune.capo, (WIDTH - 56) / _NECK[2], 7.5)
        self._blank = self._draw_blank()
        self._dots = {(finger, first): _dot(finger, first) for finger in range(5) for first in (True, False)}
        self._chords = _Chords(worked)
        self._bars = _Bars(worked)

    @property
    def length(self) -> float:
        """Seconds of the tune at show tempo."""
        return self.worked.tune.seconds(self.worked.tune.chart.length)

    def draw(self, second: float, heading: Picture | None = None) -> Frame:
        """The picture of a second."""
        frame = self._blank.copy()
        row = self._row_at(second)
        self._draw_page(frame, second, row)
        self._draw_neck(frame, second)
        self._chords.draw(frame, second)
        self._bars.draw(frame, second)
        if heading is not None:
            frame.lay(heading, _BESIDE, 22)
        return frame

    def mark_at(self, second: float) -> tuple[int, int]:
        """Where the play mark stands: its x on the picture, and the place of its system on the page."""
        number = self._row_at(second)
        return (_PAGE[0] + round(self._rows[number].x(second))) // 2 * 2, number

    def _row_at(self, second: float) -> int:
        return max(0, bisect_right([row.start for row in self._rows], second) - 1)

    def _offset(self, second: float, row: int) -> int:
        """How far the page has moved up: to each system as it begins."""
        here = self._rows[row].top
        before = self._rows[row - 1].top if row else here
        done = min(1.0, max(0.0, (second - self._rows[row].start) / _TURN)) if row else 1.0
        eased = done * done * (3.0 - 2.0 * done)
        return max(0, round(before + (here - before) * eased) - _AIR // 2) // 2 * 2

    def _draw_page(self, frame: Frame, second: float, number: int) -> None:
        left, top, foot = _PAGE
        offset = self._offset(second, number)
        for n, (on, page) in enumerate(zip(frame.planes, self._page.planes, strict=True)):
            k = 2 if n else 1
            shown = page[offset // k : (offset + foot - top) // k]
            on[top // k : foot // k, left // k : left // k + shown.shape[1]] = shown
        row = self._rows[number]
        if 0.0 <= second < self.length:
            x, _ = self.mark_at(second)
            a, b = max(top, top + row.top - offset), min(foot, top + row.foot - offset)
            for n, (on, ink) in enumerate(zip(frame.planes, _MARK, strict=True)):
                k = 2 if n else 1
                strip = on[a // k : b // k, (x - 2) // k : (x + 2) // k]
                strip[:] = (strip.astype(np.uint16) + 2 * ink) // 3
        for index in self._sounding(second):
            for box in self._boxes[number].get(index, ()):
                _tint(frame, box, left, top - offset, foot)

    def _sounding(self, second: float) -> list[int]:
        """The places in the line of the notes that are heard."""
        last = bisect_right(self._onsets, second)
        return [n for n in range(max(0, last - 12), last) if second < self._ends[n]]

    def _draw_neck(self, frame: Frame, second: float) -> None:
        now = self._sounding(second)
        after = bisect_right(self._onsets, second)
        if after < len(self._onsets) and self._onsets[after] - second < 1.0:
            soon = self._onsets[after]
            for index in range(after, min(after + 6, len(self._onsets))):
                if self._onsets[index] == soon:
                    self._draw_dot(frame, index, first=False)
        for index in now:
            self._draw_dot(frame, index, first=True)

    def spot(self, index: int) -> tuple[int, int]:
        """Where on the picture a note of the line (its place there) is fingered."""
        placed = self.worked.fingering.paths[0].notes[index]
        left, top, scale = _NECK
        x, y = self._neck.x(placed.fret), self._neck.y(placed.string)
        return round(left + x * scale), round(top + y * scale)

    def _draw_dot(self, frame: Frame, index: int, first: bool) -> None:
        dot = self._dots[self.worked.fingering.paths[0].notes[index].finger, first]
        x, y = self.spot(index)
        frame.lay(dot, x - dot.width // 2, y - dot.height // 2)

    def _draw_blank(self) -> Frame:
        frame = Frame(WIDTH, HEIGHT)
        board = rasterise([(draw_neck(self._neck), self._neck.width, self._neck.height)], _NECK[2])[0]
        frame.lay(board, _NECK[0], _NECK[1])
        title = words(self.worked.tune.title or "Untitled", 20.0, "serif")
        frame.lay(title, _BESIDE, 60)
        return frame


def _dot(finger: int, first: bool) -> Picture:
    """A finger on the neck: filled where it sounds, open where it comes next."""
    drawing = _alone(draw_dot(0.0, 0.0, _DOT, Dot(1, 0, str(finger), first)))
    return rasterise([drawing], _NECK[2])[0]


def words(text: str, size: float, face: str = "sans", ink: str = "#111111") -> Picture:
    """A line of text as pixels, ``size`` of them to the em."""
    mark = letters("words", text or " ", 0.0, 0.0, size, face, ink=ink)  # type: ignore[arg-type]
    return rasterise([_alone([mark])], 1.0)[0]


def _alone(marks: list[Mark]) -> tuple[str, float, float]:
    """Marks as a drawing of their own, as large as their ink."""
    box = around([mark.box for mark in marks])
    left, top = box.left - 1.0, box.top - 1.0
    wide, high = box.right - left + 1.0, box.bottom - top + 1.0
    svg = write_svg([mark.moved(-left, -top) for mark in marks], wide, 0.0, high, "w-", "words")
    return svg, wide, high


def _lay_page(systems: tuple[System, ...], hands: tuple[HandFigure, ...]) -> tuple[Frame, list[_Row]]:
    """All systems under each other, each over its hand path."""
    drawings = [(system.svg, system.width, system.height) for system in systems]
    drawings += [(hand.svg, hand.width, hand.height) for hand in hands]
    pictures = rasterise(drawings, _SCALE)
    music, paths = pictures[: len(systems)], pictures[len(systems) :]
    rows, top = [], _AIR
    for upper, lower, hand in zip(music, paths, hands, strict=True):
        foot = top + upper.height + lower.height
        seconds, places = zip(*hand.clock, strict=True)
        scaled = tuple(x * _SCALE for x in places)
        rows.append(_Row(top, top + upper.height, foot, seconds[0], seconds, scaled))
        top = foot + _AIR
    page = Frame(max(picture.width for picture in pictures), -(-(top + HEIGHT) // 4) * 4)
    for row, upper, lower in zip(rows, music, paths, strict=True):
        page.lay(upper, 0, row.top)
        page.lay(lower, 0, row.music)
    return page, rows


_Box = tuple[int, int, int, int]


def _boxes(system: System, row: _Row) -> dict[int, list[_Box]]:
    """Head and fret of each note on the long page, by its place in the line."""
    found: dict[int, list[_Box]] = {}
    for place in system.notes:
        for box in (place.head, place.fret):
            if box:
                edges = (box.left - 0.8, box.top - 0.8, box.right + 0.8, box.bottom + 0.8)
                left, top, right, foot = (round(edge * _SCALE) for edge in edges)
                found.setdefault(place.index, []).append((left, row.top + top, right, row.top + foot))
    return found


def _tint(frame: Frame, box: _Box, dx: int, dy: int, foot: int) -> None:
    """Turns what is black in a box blue."""
    left, top = (box[0] + dx) // 2 * 2, (box[1] + dy) // 2 * 2
    right, bottom = (box[2] + dx + 1) // 2 * 2, min(foot, (box[3] + dy + 1) // 2 * 2)
    if top < 0 or bottom <= top:
        return
    bright = frame.planes[0][top:bottom, left:right]
    dark = 1.0 - (bright.astype(np.float32) - 16.0) / (_WHITE[0] - 16.0)
    bright[:] = _WHITE[0] + dark * (_MARK[0] - _WHITE[0])
    halved = dark.reshape(dark.shape[0] // 2, 2, dark.shape[1] // 2, 2).mean(axis=(1, 3))
    for on, ink in zip(frame.planes[1:], _MARK[1:], strict=True):
        on[top // 2 : bottom // 2, left // 2 : right // 2] = 128 + halved * (ink - 128)


class _Chords:
    """The chord of the moment, large, and the next one; a count before the first bar."""

    def __init__(self, worked: Worked) -> None:
        tune = worked.tune
        spans = tune.chart.spans
        self._starts = [tune.seconds(start) for start, _, _ in spans]
        self._large = [_chord(chord, 52.0) for _, _, chord in spans]
        self._small = [_chord(chord, 24.0) for _, _, chord in spans]
        self._counts = _count_in(worked)
        self._then = words("then", 17.0, ink=GREY)

    def draw(self, frame: Frame, second: float) -> None:
        if second < 0.0:
            for start, picture in reversed(self._counts):
                if second >= start:
                    frame.lay(picture, _BESIDE, 186 - picture.height)
                    return
            return
        index = max(0, bisect_right(self._starts, second) - 1)
        frame.lay(self._large[index], _BESIDE, 186 - self._large[index].height)
        if index + 1 < len(self._starts):
            frame.lay(self._then, _BESIDE, 214)
            frame.lay(self._small[index + 1], _BESIDE + 46, 232 - self._small[index + 1].height)


def _chord(chord: Chord | None, size: float) -> Picture:
    return rasterise([_alone([chord_mark(chord, size)])], 1.0)[0]


def _count_in(worked: Worked) -> list[tuple[float, Picture]]:
    """The beats of the bar before the first, in seconds before 0, as numbers."""
    tune = worked.tune
    meter = tune.chart.bars[0].meter
    length = meter.length + tune.chart.lead_in(0)
    quarter = 60.0 / tune.tempo.first
    beats, per_bar = range(int(length // meter.pulse)), int(meter.length // meter.pulse)
    starts = [-float(length - beat * meter.pulse) * quarter for beat in beats]
    counts = [words(str(beat % per_bar + 1), 52.0, "sans", GREY) for beat in beats]
    return list(zip(starts, counts, strict=True))


class _Bars:
    """Section and bar, and under them the name of the device that is being played."""

    def __init__(self, worked: Worked) -> None:
        tune, chart = worked.tune, worked.tune.chart
        sections = dict(chart.section_starts)
        self._starts = [tune.seconds(start) for start in chart.starts[:-1]]
        self._pictures, name = [], ""
        for index in range(len(chart.bars)):
            name = sections.get(index, name)
            self._pictures.append(words(f"{name}  ·  bar {chart.number(index)}".strip(" ·"), 19.0))
        devices = worked.reading.devices if worked.reading else ()
        self._devices = [
            (tune.seconds(device.start), _end(worked, device.notes), words(_name(device), 19.0, "sans", BLUE))
            for device in devices
            if device.short and device.notes
        ]

    def draw(self, frame: Frame, second: float) -> None:
        if second >= 0.0:
            frame.lay(self._pictures[max(0, bisect_right(self._starts, second) - 1)], _BESIDE, 268)
        told = [picture for start, end, picture in self._devices if start <= second < end]
        for row, picture in enumerate(told[:3]):
            frame.lay(picture, _BESIDE, 304 + 28 * row)


def _name(device: Device) -> str:
    return f"{device.short} arpeggio" if device.kind in _ARPEGGIOS else device.short


def _end(worked: Worked, notes: tuple[int, ...]) -> float:
    line = worked.tune.line.notes
    ends: list[Time] = [line[place].end for place in notes]
    return worked.tune.seconds(max(ends))
