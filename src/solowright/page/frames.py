"""Chord frames: a grip as the player sees it on the neck, nut up, the low string on the left.

For a left-handed player the picture is mirrored, the low string on the right; tablature never is.
Dots carry the finger, a bar joins the strings that one finger holds down, a ring over the nut is an open
string, a cross a silent one; where the picture begins up the neck, the fret stands beside it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from solowright.music.chord import Chord
from solowright.music.line import Note
from solowright.music.tune import Tune
from solowright.page.drawing import Box, Mark, letters, line, number, path, together, write_svg
from solowright.page.over import chord_mark

LEAST = 3  # notes together that make a grip worth a picture
FRETS = 4  # in the picture, at least
_STRING = 6.4
_FRET = 8.6
_DOT = 2.7
_HEAD = 5.6  # from the nut up to the middle of rings and crosses
_SYMBOL = 10.0
_CELL = 66.0
_ABOVE, _BELOW = 26.0, 14.0
_PAPER = "#ffffff"


@dataclass(frozen=True, slots=True)
class Grip:
    """What is held at once: (string, fret, finger) from the high string down; the chord it stands over,
    and the bar where it first comes."""

    places: tuple[tuple[int, int, int], ...]
    strings: int
    chord: Chord | None = None
    bar: int | None = None

    @property
    def first(self) -> int:
        """The first fret of the picture: 1, or the lowest held where the grip lies up the neck."""
        frets = [fret for _, fret, _ in self.places if fret]
        return 1 if max(frets, default=1) <= FRETS else min(frets)

    @property
    def frets(self) -> int:
        """How many frets the picture shows."""
        return max(FRETS, max((fret for _, fret, _ in self.places), default=1) - self.first + 1)


@dataclass(frozen=True, slots=True)
class FrameRow:
    """A row of frames as SVG."""

    svg: str
    width: float
    height: float


def find_grips(tune: Tune) -> tuple[Grip, ...]:
    """Every grip of three notes or more in a fingered line, once for each chord it stands over."""
    found: dict[tuple[tuple[tuple[int, int, int], ...], str], Grip] = {}
    for event in tune.line.events():
        places = _places(event)
        if len(places) < LEAST:
            continue
        chord = tune.chart.chord_at(event[0].onset)
        bar = tune.chart.place(event[0].onset).bar
        key = places, chord.symbol if chord else ""
        found.setdefault(key, Grip(places, len(tune.tuning), chord, bar))
    return tuple(found.values())


def _places(event: Sequence[Note]) -> tuple[tuple[int, int, int], ...]:
    return tuple(
        sorted(
            (note.string, note.fret, note.finger or 0)
            for note in event
            if note.string is not None and note.fret is not None
            and not note.dead and note.entry not in ("harmonic", "tap")
        )
    )


def draw_frame(grip: Grip, left_handed: bool = False) -> Mark:
    """One grip; the origin is where the outer left string meets the nut."""
    return together("frame", frame_marks(grip, left_handed), _say(grip))


def frame_marks(grip: Grip, left_handed: bool = False) -> list[Mark]:
    """The parts of a frame: the net, what stands over the nut, dots and bars with their fingers, the fret."""
    marks = [*_net(grip), *_heads(grip, left_handed), *_dots(grip, left_handed)]
    if grip.first > 1:
        y, name, right = 0.72 * _FRET, str(grip.first), (grip.strings - 1) * _STRING
        if left_handed:
            marks.append(letters("fret", name, right + 6.0, y, 7.0, "sans", "start"))
        else:
            marks.append(letters("fret", name, -6.0, y, 7.0, "sans", "end"))
    return marks


def _say(grip: Grip) -> str:
    """The grip in words, for those who don't see it."""
    name = grip.chord.symbol if grip.chord else "grip"
    held = (f"string {s} fret {f}" + (f" finger {d}" if d else "") if f else f"string {s} open"
            for s, f, d in reversed(grip.places))
    return f"{name}: {', '.join(held)}"


def _x(string: int, grip: Grip, left_handed: bool) -> float:
    return _STRING * ((string - 1) if left_handed else (grip.strings - string))


def _net(grip: Grip) -> list[Mark]:
    right, foot = (grip.strings - 1) * _STRING, grip.frets * _FRET
    marks = [line("net", n * _STRING, 0.0, n * _STRING, foot, 0.5) for n in range(grip.strings)]
    for fret in range(grip.frets + 1):
        thick = 1.9 if not fret and grip.first == 1 else 0.5
        marks.append(line("net", 0.0, fret * _FRET, right, fret * _FRET, thick))
    return marks


def _heads(grip: Grip, left_handed: bool) -> list[Mark]:
    fretted = {string: fret for string, fret, _ in grip.places}
    marks = []
    for string in range(1, grip.strings + 1):
        x = _x(string, grip, left_handed)
        if string not in fretted:
            arm = 1.7
            cross = (line("x", x - arm, -_HEAD - arm, x + arm, -_HEAD + arm, 0.8),
                     line("x", x - arm, -_HEAD + arm, x + arm, -_HEAD - arm, 0.8))
            marks.append(together("silent", cross, "×"))
        elif not fretted[string]:
            marks.append(_disc("open", x, -_HEAD, 1.9, 0.8))
    return marks


def _dots(grip: Grip, left_handed: bool) -> list[Mark]:
    marks = []
    for finger in sorted({finger for _, fret, finger in grip.places if fret}):
        held = [(s, f) for s, f, d in grip.places if f and d == finger]
        for fret in sorted({fret for _, fret in held}):
            y = (fret - grip.first + 0.5) * _FRET
            xs = sorted(_x(string, grip, left_handed) for string, at in held if at == fret)
            if finger and len(xs) > 1:
                marks.append(_barre(xs[0], xs[-1], y))
            else:
                marks += [_disc("dot", x, y, _DOT) for x in xs]
            if finger:
                x = (xs[0] + xs[-1]) / 2
                marks.append(letters("finger", str(finger), x, y + 1.75, 5.2, "sans-bold", "middle", _PAPER))
    return marks


def _disc(kind: str, x: float, y: float, radius: float, width: float = 0.0) -> Mark:
    """A circle, filled (width 0) or drawn."""
    r, out = number(radius), radius + width / 2
    across = number(2 * radius)
    d = f"M{number(x - radius)} {number(y)}a{r} {r} 0 1 0 {across} 0a{r} {r} 0 1 0 -{across} 0Z"
    return path(kind, d, Box(x - out, y - out, x + out, y + out), width)


def _barre(left: float, right: float, y: float) -> Mark:
    """A bar over the strings that one finger holds."""
    r = number(_DOT)
    d = (f"M{number(left)} {number(y - _DOT)}H{number(right)}a{r} {r} 0 0 1 0 {number(2 * _DOT)}"
         f"H{number(left)}a{r} {r} 0 0 1 0 {number(-2 * _DOT)}Z")
    return path("barre", d, Box(left - _DOT, y - _DOT, right + _DOT, y + _DOT))


def draw_grips(tune: Tune, width: float, left_handed: bool = False) -> tuple[FrameRow, ...]:
    """The grips of a fingered line in rows, each under its chord and over its bar."""
    grips = find_grips(tune)
    count = max(1, int(width // _CELL))
    rows = [grips[start : start + count] for start in range(0, len(grips), count)]
    return tuple(_row(row, width, index, left_handed) for index, row in enumerate(rows))


def _row(grips: Sequence[Grip], width: float, row: int, left_handed: bool) -> FrameRow:
    marks: list[Mark] = []
    foot = max(grip.frets for grip in grips) * _FRET
    for index, grip in enumerate(grips):
        wide = (grip.strings - 1) * _STRING
        x = index * _CELL + 14.0
        marks.append(draw_frame(grip, left_handed).moved(x, 0.0))
        if grip.chord:
            symbol = chord_mark(grip.chord, _SYMBOL)
            marks.append(symbol.moved(x + (wide - symbol.box.right) / 2, -_HEAD - 7.0))
        if grip.bar is not None:
            marks.append(letters("bar", f"bar {grip.bar}", x + wide / 2, foot + 9.5, 7.0, "sans", "middle"))
    svg = write_svg(marks, width, -_ABOVE, foot + _BELOW, f"g{row}-", "grips")
    return FrameRow(svg, width, foot + _BELOW + _ABOVE)
