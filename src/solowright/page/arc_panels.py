"""The panels of the arc's figure: a curve each, in a shape of its own, and the shapes they are made of.

Lengths in points; ``Page`` knows where bars and times lie.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from solowright.form.record import Arc
from solowright.music.pitch import plain
from solowright.music.time import Time
from solowright.music.tune import Tune
from solowright.page.drawing import BLACK, BLUE, GREY, VERMILION, Box, Mark, letters, line, number, path

GREEN = "#00785a"  # Okabe & Ito's #009e73, darkened to be seen as a thin line
LEFT, RIGHT = 66.0, 6.0  # points beside the bars
NAME, SMALL = 8.0, 6.6
GRID = "#d9d9d9"
LEAST_RANGE = 12  # semitones that the register's panel holds at least
_HARD = 0.9  # load from which a dot becomes a triangle


@dataclass(frozen=True, slots=True)
class Panel:
    """Where a panel stands and what its values reach."""

    top: float
    height: float
    low: float
    high: float

    def y(self, value: float) -> float:
        """How high a value stands."""
        return self.top + self.height * (self.high - value) / (self.high - self.low)

    @property
    def foot(self) -> float:
        """The panel's lower edge."""
        return self.top + self.height


@dataclass(frozen=True)
class Page:
    """The figure being drawn, as wide as asked."""

    tune: Tune
    arc: Arc
    width: float

    def x(self, bar: int) -> float:
        """Where the bar at a place in the chart begins."""
        return self.at(self.tune.chart.starts[bar])

    def at(self, time: Time) -> float:
        """Where a time lies."""
        whole = float(self.tune.chart.length) or 1.0
        return LEFT + float(time) / whole * (self.width - LEFT - RIGHT)

    def middle(self, bar: int) -> float:
        """The middle of a bar."""
        return (self.x(bar) + self.x(bar + 1)) / 2


def _draw_intensity(page: Page, top: float, height: float) -> list[Mark]:
    """An area under the line of intensity, its peak marked."""
    panel = Panel(top, height, 0.0, max([0.1, *page.arc.curves.intensity]) * 1.02)
    points = [(page.middle(bar), panel.y(value)) for bar, value in enumerate(page.arc.curves.intensity)]
    if not points:
        return []
    ends = [(page.x(0), points[0][1]), *points, (page.x(len(points)), points[-1][1])]
    marks = [
        _area(ends, panel.foot, BLUE),
        _curve("intensity", ends, BLUE, 1.6),
        *_name(panel, "intensity"),
        _base(page, panel),
    ]
    climax = page.arc.climax
    if climax is not None:
        x, y = points[climax.bar]
        marks.append(triangle("peak", x, y - 4.4, VERMILION, filled=True))
        if climax.rival is not None:
            x, y = points[climax.rival]
            marks.append(triangle("rival", x, y - 4.4, VERMILION, filled=False))
    return marks


def _draw_register(page: Page, top: float, height: float) -> list[Mark]:
    """A span from lowest to highest note a bar, a dash at its mean."""
    curves = page.arc.curves
    low = min([midi for midi in curves.low if midi is not None], default=40)
    high = max([midi for midi in curves.high if midi is not None], default=76)
    spare = max(1.0, (LEAST_RANGE - (high - low)) / 2)
    panel = Panel(top, height, low - spare, high + spare)
    marks = [*_name(panel, "register"), _base(page, panel)]
    if curves.pitch and any(pitch is not None for pitch in curves.pitch):
        marks += _scale(panel, high, plain(high).name, low, plain(low).name)
    for bar, (lowest, mean, highest) in enumerate(zip(curves.low, curves.pitch, curves.high, strict=True)):
        if lowest is None or mean is None or highest is None:
            continue
        left, right = _cell(page, bar)
        box = Box(left, panel.y(highest + 0.4), right, panel.y(lowest - 0.4))
        marks.append(block("span", box, GREEN, 0.3))
        marks.append(line("mean", left, panel.y(mean), right, panel.y(mean), 1.3, GREEN))
    return marks


def _draw_pace(page: Page, top: float, height: float) -> list[Mark]:
    """A column a bar."""
    curve = page.arc.curves.density
    panel = Panel(top, height, 0.0, max([1.0, *curve]))
    marks = [*_name(panel, "pace", "notes a second"), _base(page, panel)]
    marks += _scale(panel, panel.high, f"{panel.high:.1f}", 0.0, "0")
    for bar, value in enumerate(curve):
        left, right = _cell(page, bar)
        if value:
            marks.append(block("column", Box(left, panel.y(value), right, panel.foot), GREY, 0.55))
    return marks


def _draw_load(page: Page, top: float, height: float) -> list[Mark]:
    """A dotted line against the limit; a triangle where the hand is close to it."""
    curve = page.arc.curves.load
    panel = Panel(top, height, 0.0, max([1.0, *curve]))
    limit = panel.y(1.0)
    marks = [*_name(panel, "load", "of the limit"), _base(page, panel)]
    marks += _scale(panel, 1.0, "100 %", 0.0, "0")
    marks.append(line("limit", page.x(0), limit, page.x(len(curve)), limit, 0.7, VERMILION, "3 2"))
    points = [(page.middle(bar), panel.y(value)) for bar, value in enumerate(curve)]
    if len(points) > 1:
        marks.append(_curve("load", points, BLUE, 0.7))
    for (x, y), value in zip(points, curve, strict=True):
        if value >= _HARD:
            marks.append(triangle("hard", x, y, VERMILION, filled=True))
        elif value:
            marks.append(_dot(x, y, BLUE))
    return marks


def _draw_tension(page: Page, top: float, height: float) -> list[Mark]:
    """Hatched columns: the share of the time against the chords."""
    curve = page.arc.curves.tension
    panel = Panel(top, height, 0.0, max([0.2, *curve]))
    marks = [*_name(panel, "tension", "against the chords"), _base(page, panel)]
    marks += _scale(panel, panel.high, f"{100 * panel.high:.0f} %", 0.0, "0")
    for bar, value in enumerate(curve):
        left, right = _cell(page, bar)
        if value * panel.height >= 0.3:
            marks.append(_hatched(Box(left, panel.y(value), right, panel.foot), VERMILION))
    return marks


def _draw_level(page: Page, top: float, height: float) -> list[Mark]:
    """A stepped line; silent bars lie on the floor."""
    curve = page.arc.curves.level
    sounding = [v for v, pitch in zip(curve, page.arc.curves.pitch, strict=True) if pitch is not None]
    high, low = max(sounding, default=0.0), min(sounding, default=-10.0)
    panel = Panel(top, height, low - 1.0, max(high, low + 3.0))
    unit = "dB" if page.arc.level_measured else "dB, estimated"
    marks = [*_name(panel, "level", unit), _base(page, panel)]
    ends = (f"{end:+.0f}".replace("-", "−") for end in (panel.high, panel.low))
    marks += _scale(panel, panel.high, next(ends), panel.low, next(ends))
    points = []
    for bar, value in enumerate(curve):
        y = panel.y(max(panel.low, value))
        points += [(page.x(bar), y), (page.x(bar + 1), y)]
    return [*marks, _curve("level", points, BLACK, 1.1)] if points else marks


PANELS: tuple[tuple[Callable[[Page, float, float], list[Mark]], float], ...] = (
    (_draw_intensity, 62.0), (_draw_register, 40.0), (_draw_pace, 30.0), (_draw_load, 30.0),
    (_draw_tension, 24.0), (_draw_level, 24.0),
)  # fmt: skip


def _name(panel: Panel, name: str, unit: str = "") -> list[Mark]:
    """The panel's name at its left, its unit under it."""
    middle = panel.top + panel.height / 2
    marks = [letters("name", name, 0.0, middle + (0.0 if unit else 2.6), NAME, "sans-bold")]
    if unit:
        marks.append(letters("unit", unit, 0.0, middle + 7.4, 5.4, "sans", ink=GREY))
    return marks


def _scale(panel: Panel, high: float, top: str, low: float, foot: str) -> list[Mark]:
    """The values at the panel's upper and lower end, right before its bars; one where they lie too close."""
    upper = letters("scale", top, LEFT - 3.0, panel.y(high) + 2.3, SMALL - 0.8, "sans", "end", GREY)
    lower = letters("scale", foot, LEFT - 3.0, panel.y(low) + 2.0, SMALL - 0.8, "sans", "end", GREY)
    return [upper] if lower.box.meets(upper.box, 1.0) else [upper, lower]


def _base(page: Page, panel: Panel) -> Mark:
    return line("grid", LEFT, panel.foot, page.width - RIGHT, panel.foot, 0.5, GREY)


def _cell(page: Page, bar: int) -> tuple[float, float]:
    left, right = page.x(bar), page.x(bar + 1)
    air = min(1.2, (right - left) * 0.15)
    return left + air, right - air


def _outline(points: Sequence[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)


def _held(points: Sequence[tuple[float, float]]) -> Box:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return Box(min(xs), min(ys), max(xs), max(ys))


def _curve(kind: str, points: Sequence[tuple[float, float]], ink: str, width: float) -> Mark:
    return path(kind, _outline(points), _held(points), width, ink)


def _area(points: Sequence[tuple[float, float]], foot: float, ink: str) -> Mark:
    closed = [*points, (points[-1][0], foot), (points[0][0], foot)]
    return _faded(path("area", _outline(closed) + "Z", _held(closed), ink=ink), 0.16)


def block(kind: str, box: Box, ink: str, strength: float) -> Mark:
    """A filled rectangle, ``strength`` 1 at full ink."""
    d = f"M{number(box.left)} {number(box.top)}H{number(box.right)}V{number(box.bottom)}H{number(box.left)}Z"
    return _faded(path(kind, d, box, ink=ink), strength)


def frame(kind: str, box: Box, ink: str) -> Mark:
    """An open rectangle."""
    d = f"M{number(box.left)} {number(box.top)}H{number(box.right)}V{number(box.bottom)}H{number(box.left)}Z"
    return path(kind, d, box, 1.0, ink)


def _faded(mark: Mark, strength: float) -> Mark:
    return Mark(mark.kind, mark.box, f'<g opacity="{number(strength)}">{mark.svg}</g>')


def _hatched(box: Box, ink: str) -> Mark:
    """A column of level strokes, so that it differs from a filled one without colour."""
    rows = max(1, round((box.bottom - box.top) / 2.4))
    ys = [box.bottom - 0.6 - (box.bottom - box.top - 0.6) * row / rows for row in range(rows + 1)]
    d = "".join(f"M{number(box.left)} {number(y)}H{number(box.right)}" for y in ys)
    return path("hatched", d, box, 0.9, ink)


def triangle(kind: str, x: float, y: float, ink: str, filled: bool) -> Mark:
    """A triangle that stands over (x, y)."""
    d = f"M{number(x - 3.2)} {number(y - 2)}h6.4l-3.2 5Z"
    return path(kind, d, Box(x - 3.6, y - 2.4, x + 3.6, y + 3.2), 0.0 if filled else 0.9, ink)


def _dot(x: float, y: float, ink: str) -> Mark:
    r = 1.5
    d = f"M{number(x - r)} {number(y)}a{r} {r} 0 1 0 {2 * r} 0a{r} {r} 0 1 0 {-2 * r} 0Z"
    return path("dot", d, Box(x - r, y - r, x + r, y + r), ink=ink)
