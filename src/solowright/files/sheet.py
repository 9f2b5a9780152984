"""The sheet: header, chart and line in one text file (``.solo``), read into a Tune and written back.

``write_sheet`` and ``read_sheet`` are each other's inverse. The line is written as tablature where every
note has its string and fret, else as ABC. docs/sheet.md shows the format to its users.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from solowright.errors import FileError, InputError
from solowright.files.chart_text import read_chart_lines
from solowright.files.chart_write import write_chart
from solowright.files.sheet_header import READERS, Header, find_tempo, read_header, write_header
from solowright.files.tab_read import read_tab
from solowright.files.tab_system import is_tab
from solowright.files.tab_write import fits_tab, write_tab
from solowright.files.text import Report, TextLine, decode, nearest, split_lines, title_of
from solowright.music.chart import Chart
from solowright.music.line import Line
from solowright.music.time import TempoMap
from solowright.music.tune import STANDARD_TUNING, Tune

# Gives the tune in a file that a sheet's ``line:`` names, over the sheet's chart. Raises InputError.
OpenLine = Callable[[str, Chart], Tune]

_KEYED = re.compile(r"\s*(?P<key>[A-Za-z][A-Za-z ]*?)\s*:(?P<value>.*)")


@dataclass(slots=True)
class _Parts:
    """A sheet's lines by what they belong to; ``line`` is the one that opens the line part."""

    header: list[TextLine] = field(default_factory=list)
    chart: list[TextLine] = field(default_factory=list)
    line: TextLine | None = None
    body: list[TextLine] = field(default_factory=list)


def read_sheet(data: bytes, file: str, open_line: OpenLine | None = None) -> Tune:
    """The tune in a sheet. ``file`` names it in messages; ``open_line`` opens the file behind ``line:``.

    Raises FileError with every problem found.
    """
    report = Report(file)
    parts = _split(split_lines(decode(data, file)), report)
    header, chart, tempo = _read_front(parts, report)
    line, tuning, capo = _read_line(parts, header, chart, report, open_line)
    report.stop()
    return Tune(
        title=title_of(file) if header.title is None else header.title,
        chart=chart,
        line=line,
        composer=header.composer,
        key=header.key,
        feel=header.feel,
        tempo=tempo,
        tuning=tuning,
        capo=capo,
        hand=header.hand,
    )


def read_chart(data: bytes, file: str) -> Chart:
    """The chart in a text file that holds only a chart part, or in a sheet (its line is not read).

    Raises FileError with every problem found.
    """
    report = Report(file)
    chart = _read_front(_split(split_lines(decode(data, file)), report), report)[1]
    report.stop()
    return chart


def stated_keys(data: bytes, file: str) -> frozenset[str]:
    """The keys that a sheet's header gives itself. Raises FileError where it is no text."""
    parts = _split(split_lines(decode(data, file)), Report(file))
    return frozenset(line.text.partition(":")[0].strip().lower() for line in parts.header)


def write_sheet(tune: Tune) -> bytes:
    """The tune as a sheet."""
    lines = [*write_header(tune), "", *write_chart(tune.chart), "", "line:"]
    if tune.line.notes:
        lines += write_tab(tune) if fits_tab(tune) else _write_abc(tune)
    return "\n".join([*lines, ""]).encode()


def _read_front(parts: _Parts, report: Report) -> tuple[Header, Chart, TempoMap]:
    """Header, chart and tempo. Raises FileError where the line can't be read without them."""
    header = read_header(parts.header, report)
    report.stop()
    chart = read_chart_lines(parts.chart, header.meter, header.pickup, report)
    if not chart.sections:
        number = parts.line.number if parts.line else 1
        what = "there is no chart; write bars such as | Am7 | D7 | above 'line:' (the file may be cut off)"
        report.add(number, 1, what)
        report.stop()
    try:
        return header, chart, find_tempo(header, chart)
    except InputError as error:
        named = [line.number for line in parts.header if line.text.strip().lower().startswith("tempo")]
        report.add(named[0], 1, str(error))
        return header, chart, TempoMap()


def _split(lines: Sequence[TextLine], report: Report) -> _Parts:
    """Shares out the lines: the header up to the first bar or section, the chart up to ``line:``."""
    parts = _Parts()
    for line in lines:
        keyed = _KEYED.fullmatch(line.text)
        if parts.line is not None:
            parts.body.append(line)
        elif keyed and keyed["key"].lower() == "line":
            parts.line = line
        elif line.text.lstrip().startswith(("[", "|")) or (parts.chart and not keyed):
            parts.chart.append(line)
        elif keyed and not parts.chart:
            parts.header.append(line)
        elif line.text.strip():
            column = len(line.text) - len(line.text.lstrip()) + 1
            if keyed:
                name = keyed["key"].lower()
                hint = "" if name in READERS else nearest(name, ("line", *READERS))
                what = f"'{name}:' stands after the chart{hint}; write it above the bars"
            else:
                what = "this line is no 'key: value', no [Section] and no bar; write title: …, say, or | A7 |"
            report.add(line.number, column, what)
    return parts


def _read_line(
    parts: _Parts, header: Header, chart: Chart, report: Report, open_line: OpenLine | None
) -> tuple[Line, tuple[int, ...], int]:
    """The line, and the tuning and capo that go with it."""
    tuning = STANDARD_TUNING if header.tuning is None else header.tuning
    capo = header.capo or 0
    if parts.line is None:
        return Line(), tuning, capo
    name = parts.line.text.partition(":")[2].strip()
    body = [line for line in parts.body if line.text.strip()]
    if name:
        if body:
            report.add(
                body[0].number,
                1,
                f"the line is in the file {name}, so nothing can follow here; drop one of them",
            )
        return _open_line(name, parts.line, header, chart, report, open_line)
    if is_tab(body):
        return read_tab(parts.body, chart, header.key, tuning, capo, report), tuning, capo
    if not body:
        return Line(), tuning, capo
    return _read_abc(body, chart, header, report), tuning, capo


def _read_abc(body: Sequence[TextLine], chart: Chart, header: Header, report: Report) -> Line:
    from solowright.files.abc_body import read_abc_body

    texts = {line.number: line.text for line in body}
    first = body[0].number
    text = "\n".join(texts.get(number, "") for number in range(first, body[-1].number + 1))
    try:
        return read_abc_body(text, file=report.file, first_line=first, chart=chart, key=header.key)
    except FileError as error:
        report.problems += error.problems
        return Line()


def _write_abc(tune: Tune) -> list[str]:
    from solowright.files.abc_write import write_abc_body

    return write_abc_body(tune).splitlines()


def _open_line(
    name: str, line: TextLine, header: Header, chart: Chart, report: Report, open_line: OpenLine | None
) -> tuple[Line, tuple[int, ...], int]:
    """The line in another file, with its tuning and capo where the header doesn't give its own."""
    column = line.text.index(name, line.text.index(":")) + 1
    try:
        if open_line is None:
            raise InputError("no file can be opened from here; write the line below 'line:'")
        there = open_line(name, chart)
    except InputError as error:
        inside = len(error.problems) if isinstance(error, FileError) else 0
        more = f" (and {inside - 1} more problems there)" if inside > 1 else ""
        report.add(line.number, column, f"{error}{more}")
        return Line(), STANDARD_TUNING, 0
    tuning = there.tuning if header.tuning is None else header.tuning
    capo = there.capo if header.capo is None else header.capo
    if any(note.fret is not None for note in there.line.notes) and (tuning, capo) != (
        there.tuning,
        there.capo,
    ):
        report.add(
            line.number,
            column,
            f"{name} is for another tuning or capo than this header says; "
            "make them the same, or drop these header lines",
        )
    if there.line.notes and there.line.notes[-1].end > chart.length:
        report.add(
            line.number,
            column,
            f"{name} goes on after the chart's {len(chart.bars)} bars; lengthen the chart",
        )
    return there.line, tuning, capo
