"""A Chart as the chart part of a sheet, bars in columns; reading it back gives an equal Chart."""

from __future__ import annotations

from fractions import Fraction

from solowright.files.text import number_text
from solowright.music.chart import Bar, Chart, Section
from solowright.music.time import ZERO, Meter, Time

BARS_A_LINE = 4


def write_chart(chart: Chart) -> list[str]:
    """The lines of the chart part. The first bar's meter and a pickup's length belong in the header."""
    lines: list[str] = []
    meter = chart.sections[0].bars[0].meter if chart.sections else Meter()
    for number, section in enumerate(chart.sections):
        if number or section.name or section.times > 1:
            name = section_name(section.name)
            lines.append(f"[{name}]" + (f" x{section.times}" if section.times > 1 else ""))
        cells, meter = _write_section(section, meter, chart.pickup and not number)
        lines += _in_columns(cells)
    return lines


def section_name(name: str) -> str:
    """The name as it can stand between brackets."""
    return " ".join(name.replace("]", ")").split())


def _in_columns(cells: list[str]) -> list[str]:
    rows = [cells[first : first + BARS_A_LINE] for first in range(0, len(cells), BARS_A_LINE)]
    widths = [max(len(row[column]) for row in rows if column < len(row)) for column in range(len(rows[0]))]
    return [
        "| " + " | ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=False)) + " |"
        for row in rows
    ]


def _write_section(section: Section, meter: Meter, pickup: bool) -> tuple[list[str], Meter]:
    """The bars' texts, and the meter at the section's end."""
    cells: list[str] = []
    before: Bar | None = None
    for bar in section.bars:
        first_is_pickup = pickup and before is None
        lead_in = bar.meter.length - bar.length if first_is_pickup else ZERO
        words = [] if bar.meter == meter else [f"{{{bar.meter}}}"]
        if bar.short is not None and not first_is_pickup:
            words.append(f"{{short {number_text(bar.short)}}}")
        same = before and bar.chords and (bar.chords, bar.length) == (before.chords, before.length)
        words.append("%" if same else _write_chords(bar, lead_in))
        if bar.hits:
            words.append(f"{{hit {_beats(bar.hits, lead_in)}}}")
        if bar.pause:
            words.append("{break}")
        if bar.answered or bar.answer:
            words.append(f"{{answer {_beats(bar.answer, lead_in)}}}" if bar.answer else "{answer}")
        cells.append(" ".join(words))
        before, meter = bar, bar.meter
    return cells, meter


def _beats(offsets: tuple[Time, ...], lead_in: Time) -> str:
    return " ".join(number_text(1 + lead_in + offset) for offset in offsets)


def _write_chords(bar: Bar, lead_in: Time) -> str:
    """The chords in the plainest way that puts each where it stands: evenly, with dots, or with beats."""
    if not bar.chords:
        return "."
    symbols = {change.offset: change.chord.symbol if change.chord else "N.C." for change in bar.chords}
    count, beats = len(symbols), bar.length * bar.meter.unit / 4
    even = [index * bar.length / count for index in range(count)]
    if list(symbols) == even and (count == 1 or beats % count == 0):
        return " ".join(symbols.values())
    for grid in (bar.meter.pulse, Fraction(4, bar.meter.unit)):
        entries = bar.length / grid
        if entries.denominator == 1 and all((offset / grid).denominator == 1 for offset in symbols):
            return " ".join(symbols.get(index * grid, ".") for index in range(int(entries)))
    return " ".join(
        symbol + (f"@{number_text(1 + lead_in + offset)}" if offset else "")
        for offset, symbol in symbols.items()
    )
