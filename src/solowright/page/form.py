"""The form at a glance: every section as a row of bars with their chords and what the band does.

A bar with hits has notches on its upper edge, one for each; a break is an open, dashed frame; an
answer is a bracket at the foot. Sections that are played again are drawn once.
"""

from __future__ import annotations

from dataclasses import dataclass

from solowright.music.chart import Bar, Section
from solowright.music.tune import Tune
from solowright.page.drawing import GREY, VERMILION, Box, Mark, letters, line, number, path, write_svg
from solowright.page.over import chord_mark

_PER_ROW = (8, 4)  # bars, and where their chords are crowded
_HEIGHT = 21.0
_HEAD = 15.0
_CHORD = 8.6
_LEAST = 6.5  # a smaller chord is hard to read
_AIR = 3.0


@dataclass(frozen=True, slots=True)
class FormRow:
    """A row of bars as SVG; ``first`` tells that it opens a section."""

    svg: str
    width: float
    height: float
    first: bool


def draw_form(tune: Tune, width: float) -> tuple[FormRow, ...]:
    """The whole chart, eight bars a row or four where they are crowded, ``width`` points wide."""
    rows: list[FormRow] = []
    at = 0
    for section in tune.chart.sections:
        wide, narrow = _PER_ROW
        count = narrow if any(_size(bar, width / wide) < _LEAST for bar in section.bars) else wide
        for first in range(0, len(section.bars), count):
            bars = section.bars[first : first + count]
            rows.append(_row(tune, section, bars, at + first, width / count, width, len(rows)))
        at += len(section.bars) * section.times
    return tuple(rows)


def _row(
    tune: Tune, section: Section, bars: tuple[Bar, ...], at: int, cell: float, width: float, row: int
) -> FormRow:
    marks: list[Mark] = []
    first = bars[0] is section.bars[0]
    if first:
        name = letters("section", section.name or "—", 0.0, -5.0, 9.6, "sans-bold")
        marks.append(name)
        count = f"{len(section.bars)} bars" if len(section.bars) > 1 else "1 bar"
        times = f", {section.times} times" if section.times > 1 else ""
        marks.append(letters("count", count + times, name.box.right + 6.0, -5.0, 8.0, "sans", ink=GREY))
    x = 0.0
    for index, bar in enumerate(bars):
        wide = cell * (float(bar.length / bar.meter.length) if bar.short is not None else 1.0)
        wide = max(wide, cell * 0.3)
        marks += _cell(bar, x, wide, str(tune.chart.number(at + index)))
        x += wide
    top = -_HEAD if first else -1.0
    svg = write_svg(marks, width, top, _HEIGHT + 4.0, f"f{row}-", f"form: {section.name}")
    return FormRow(svg, width, _HEIGHT + 4.0 - top, first)


def _cell(bar: Bar, x: float, wide: float, label: str) -> list[Mark]:
    box = Box(x, 0.0, x + wide, _HEIGHT)
    d = f"M{number(x)} 0H{number(x + wide)}V{number(_HEIGHT)}H{number(x)}Z"
    marks = [path("cell", d, box, 0.5, GREY, "2 1.6" if bar.pause else "")]
    if label != "0":
        marks.append(letters("count", label, x + 5.4, 6.2, 4.8, "sans", ink=GREY))
    for hit in bar.hits:
        place = x + 3.0 + float(hit / bar.length) * (wide - 6.0)
        marks.append(line("hit", place, -1.2, place, 3.2, 1.3, VERMILION))
    if bar.answered or bar.answer:
        d = f"M{number(x + 3)} {number(_HEIGHT - 1)}v3h{number(wide - 6)}v-3"
        marks.append(path("answer", d, Box(x + 3, _HEIGHT - 1, x + wide - 3, _HEIGHT + 2), 1.0, VERMILION))
    if bar.pause:
        marks.append(letters("pause", "break", x + wide - 3.0, 6.4, 5.4, "sans-italic", "end", VERMILION))
    return marks + _chords(bar, x, wide)


def _chords(bar: Bar, x: float, wide: float) -> list[Mark]:
    """The bar's chords in their shares of the cell, made smaller where they are crowded."""
    if not bar.chords:
        return [letters("held", "%", x + wide / 2, 16.4, 8.0, "sans", "middle", GREY)]
    size = _size(bar, wide)
    symbols = [chord_mark(change.chord, size) for change in bar.chords]
    slack = max(0.0, wide - 5.0 - sum(symbol.box.right + _AIR for symbol in symbols) + _AIR)
    marks, left = [], x + 2.5
    for change, symbol in zip(bar.chords, symbols, strict=True):
        even = x + 2.5 + float(change.offset / bar.length) * (wide - 5.0)
        at = min(max(left, even), left + slack)
        slack -= at - left
        marks.append(symbol.moved(at, 17.2))
        left = at + symbol.box.right + _AIR
    return marks


def _size(bar: Bar, wide: float) -> float:
    """The size at which a bar's chords fit a cell."""
    widths = [chord_mark(change.chord, _CHORD).box.right for change in bar.chords]
    room = wide - 5.0 - _AIR * (len(widths) - 1)
    return _CHORD * min(1.0, room / sum(widths)) if widths else _CHORD
