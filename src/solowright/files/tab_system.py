"""The frame of typed tablature: systems of rows under a count, cut into the bars of the chart.

Here rows are told apart, checked against each other and against the chart; what stands in them is
read by tab_read.py. Columns count from 0, in characters.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from solowright.errors import InputError
from solowright.files.tab_count import Count, is_count_row, place_counts, scan_counts
from solowright.files.text import Report, TextLine, nearest
from solowright.music.chart import Chart
from solowright.music.pitch import parse_tone, plain

UNDER_ROWS = ("fingers", "picks", "names")

_STRING_ROW = re.compile(r"\s*(?P<name>[A-Ga-g][#b♯♭]?)?\s*(?P<row>\|.*)")
_UNDER_ROW = re.compile(r"\s*(?P<name>[A-Za-z]{3,})(?=\s|$)")
_LABEL = re.compile(
    r"\s*(?:bar\s+(?P<number>\d{1,4}))?\s*(?:\[(?P<section>.*)\])?\s*", re.ASCII | re.IGNORECASE
)
_BARLINES = re.compile(r"\|+")


@dataclass(frozen=True, slots=True)
class TabBar:
    """One bar of a system: its index in the chart, the columns between its barlines, its counts.

    ``run`` numbers the stretches of bars without a gap.
    """

    index: int
    run: int
    left: int
    right: int
    counts: tuple[Count, ...]


@dataclass(slots=True)
class System:
    """Rows that stand under one count row, from the highest string down, and those below them."""

    count: TextLine | None = None
    rows: list[TextLine] = field(default_factory=list)
    under: dict[str, TextLine] = field(default_factory=dict)
    bars: list[TabBar] = field(default_factory=list)


def is_tab(lines: Sequence[TextLine]) -> bool:
    """Whether a line part is tablature: it has a count row with numbers, or a string's row of dashes."""
    return any(
        (is_count_row(line.text) and any(map(str.isdecimal, line.text)))
        or (_STRING_ROW.match(line.text) and "--" in line.text)
        for line in lines
    )


def read_systems(
    lines: Sequence[TextLine], chart: Chart, tuning: tuple[int, ...], report: Report
) -> list[System]:
    """The systems in ``lines``, those that can't be read left out and reported."""
    reader = _Reader(chart, tuning, report)
    for line in lines:
        reader.read(line)
    reader.close()
    return reader.systems


@dataclass(slots=True)
class _Reader:
    chart: Chart
    tuning: tuple[int, ...]
    report: Report
    systems: list[System] = field(default_factory=list)
    system: System = field(default_factory=System)
    next_bar: int = 0  # index in the chart of the bar that the next system begins with
    run: int = 0

    def read(self, line: TextLine) -> None:
        """Takes in one line."""
        if "\t" in line.text:
            what = "a tab character can't be lined up; use spaces"
            self.report.add(line.number, line.text.index("\t") + 1, what)
            line = TextLine(line.number, line.text.expandtabs())
        text = line.text
        under = _UNDER_ROW.match(text)
        label = _LABEL.fullmatch(text)
        if not text.strip():
            self.close()
        elif is_count_row(text):
            self.close()
            self.system.count = line
        elif _STRING_ROW.fullmatch(text):
            self.system.rows.append(line)
        elif label:
            self.close()
            self.go_to(line, None if label["number"] is None else int(label["number"]), label["section"])
        elif under and under["name"].lower() in UNDER_ROWS and self.system.rows:
            name = under["name"].lower()
            if name in self.system.under:
                self.report.add(line.number, 1, f"a second '{name}' row under one system; join the two")
            self.system.under[name] = line
        else:
            hint = nearest(under["name"], (*UNDER_ROWS, "bar")) if under else ""
            self.report.add(
                line.number,
                len(text) - len(text.lstrip()) + 1,
                f"this is no line of tablature{hint}; write a count row (1 & 2 &), string rows "
                "(e|--5--|), and below them 'fingers', 'picks' or 'names'",
            )

    def go_to(self, line: TextLine, number: int | None, section: str | None) -> None:
        """A label between systems tells at which bar the next one begins: ``bar 9``, ``[Bridge]`` or both."""
        found = self.chart.section_starts
        index, wrong = self.next_bar, ""
        if number is not None:
            index = self.chart.index(number)
            if not 0 <= index < len(self.chart.bars):
                wrong = f"the chart has no bar {number}"
            elif index < self.next_bar:
                wrong = f"the tablature has passed bar {number} already"
        if section is not None and not wrong:
            starts = [start for start, name in found if name == section.strip() and start >= index]
            if not starts or (number is not None and starts[0] != index):
                names = [name for _, name in found]
                there = "from here on" if number is None else f"that begins at bar {number}"
                wrong = f"the chart has no section [{section}] {there}{nearest(section, names)}"
            else:
                index = starts[0]
        if wrong:
            self.report.add(line.number, 1, f"{wrong}; correct the label")
        elif index > self.next_bar:
            self.next_bar = index
            self.run += 1

    def close(self) -> None:
        """Ends the system that is open, checks it and cuts it into bars."""
        system, self.system = self.system, System()
        if not system.rows:
            if system.count is not None:
                self.report.add(system.count.number, 1, "no string rows stand under this count; write them")
            return
        first = system.rows[0]
        if system.count is None:
            self.report.add(
                first.number,
                1,
                "a count row is missing over these strings; write one, such as "
                "1 & 2 & 3 & 4 &, with every note under its count",
            )
            return
        if not self.check_rows(system):
            return
        barlines = [match.span() for match in _BARLINES.finditer(first.text)]
        counts = scan_counts(system.count.text)
        for count in counts:
            if not any(left <= count.start < right for (_, left), (right, _) in pairwise(barlines)):
                self.report.add(
                    system.count.number,
                    count.start + 1,
                    f"the count '{count.word}' stands over no bar; line it up with the rows",
                )
        for (_, left), (right, _) in pairwise(barlines):
            inside = [count for count in counts if left <= count.start < right]
            self.cut_bar(system, left, right, inside)
        self.systems.append(system)

    def cut_bar(self, system: System, left: int, right: int, counts: list[Count]) -> None:
        assert system.count is not None
        index = self.next_bar
        if index == len(self.chart.bars):
            self.report.add(
                system.rows[0].number,
                left + 1,
                f"the line goes on after the chart's {len(self.chart.bars)} bars; "
                "lengthen the chart, or cut the line",
            )
        self.next_bar += 1
        if index >= len(self.chart.bars):
            return
        try:
            placed = place_counts(counts, self.chart.bars[index], self.chart.lead_in(index))
        except InputError as error:
            at = counts[0].start if counts else left
            self.report.add(system.count.number, at + 1, f"bar {self.chart.number(index)}: {error}")
            placed = []
        system.bars.append(TabBar(index, self.run, left, right, tuple(placed)))

    def check_rows(self, system: System) -> bool:
        """Whether the rows are as many as the strings, named like them, and cut by the same barlines."""
        before = len(self.report.problems)
        first, names = system.rows[0], [plain(midi, True).tone.name for midi in self.tuning]
        if len(system.rows) != len(self.tuning):
            self.report.add(
                first.number,
                1,
                f"{len(system.rows)} rows for {len(self.tuning)} strings; write one row "
                f"a string, from the high one down: {' '.join(names)}",
            )
            return False
        barlines = [match.span() for match in _BARLINES.finditer(first.text)]
        for row, midi, name in zip(system.rows, self.tuning, names, strict=True):
            match = _STRING_ROW.fullmatch(row.text)
            assert match
            if match["name"] and parse_tone(match["name"]).pitch_class != midi % 12:
                self.report.add(
                    row.number,
                    match.start("name") + 1,
                    f"this row is named {match['name']}, its string is {name}; rows go from the high "
                    "string down, and another tuning stands in the header",
                )
            if not row.text.endswith("|"):
                self.report.add(
                    row.number,
                    len(row.text) + 1,
                    "this row is not closed; end it with a barline '|' (the file may be cut off)",
                )
            elif len(barlines) < 2:
                self.report.add(
                    row.number, match.start("row") + 1, "this row holds no bar; write e|--5--|, say"
                )
            elif [span.span() for span in _BARLINES.finditer(row.text)] != barlines:
                wrong = _first_difference(barlines, [span.span() for span in _BARLINES.finditer(row.text)])
                self.report.add(
                    row.number,
                    wrong + 1,
                    "the barlines of this row don't stand under those of the top "
                    "row; make all rows equally long",
                )
        return len(self.report.problems) == before


def _first_difference(ours: list[tuple[int, int]], theirs: list[tuple[int, int]]) -> int:
    """The column where two rows' barlines part."""
    for our, their in zip(ours, theirs, strict=False):
        if our != their:
            return min(our[0], their[0])
    return theirs[-1][0]
