"""The chart part of a sheet: ``| Fmaj7 | B7 Em7 | Bm7 . . E7 {hit 1 2.5} |``, read into a Chart.

Beats in marks and behind ``@`` count quarters from 1 inside the bar, a pickup's from where it enters.
Two things the trade leaves open are settled here: without dots the chords of a bar share it evenly
or it is an error, and ``%`` repeats the chords of the bar before, not its hits.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import pairwise

from solowright.errors import InputError
from solowright.files.text import Report, TextLine, nearest, number_text, parse_number
from solowright.music.chart import Bar, Chart, ChordAt, Section
from solowright.music.chord import parse_chord
from solowright.music.time import ZERO, Meter, Time

MARKS = ("hit", "break", "answer", "short")
NO_CHORD = ("N.C.", "N.C", "NC", "n.c.")
MOST_TIMES = 64  # a section played more often is a slip
LONGEST_BAR = 64  # quarters

_SECTION = re.compile(r"\s*\[(?P<name>[^\]]*)\](?:\s*[x×](?P<times>\d{1,4}))?\s*(?P<bars>\|.*)?$", re.ASCII)
_METER = re.compile(r"(\d{1,2})/(\d{1,2})", re.ASCII)
_MARK = re.compile(r"\{([^{}]*)\}")

_Problem = Callable[[int, str], None]  # notes a problem at a place in the bar's text
_Word = tuple[int, str]  # where a word stands in the bar's text, and the word


def read_chart_lines(lines: Sequence[TextLine], meter: Meter, pickup: Time | None, report: Report) -> Chart:
    """The chart in ``lines``; ``pickup`` is the length of its first bar where that is an upbeat."""
    reader = _Reader(report, meter, pickup)
    for line in lines:
        if line.text.strip():
            reader.read(line)
    reader.close()
    return Chart(tuple(reader.sections), pickup is not None)


def parse_meter(text: str) -> Meter:
    """Reads ``3/4``. Raises InputError."""
    match = _METER.fullmatch(text.strip())
    if not match or not 1 <= int(match[1]) <= 64 or int(match[2]) not in (1, 2, 4, 8, 16, 32):
        raise InputError(f"'{text.strip()}' is not a meter; write one such as 4/4 or 6/8")
    return Meter(int(match[1]), int(match[2]))


@dataclass(slots=True)
class _Reader:
    """The chart so far: closed sections, and the one that is open."""

    report: Report
    meter: Meter
    pickup: Time | None  # until the first bar is read
    sections: list[Section] = field(default_factory=list)
    name: str | None = None
    times: int = 1
    opened: int = 0  # the line that names it
    bars: list[Bar] = field(default_factory=list)
    before: Bar | None = None

    def read(self, line: TextLine) -> None:
        """Takes in one line: a section's name, bars, or both."""
        text = line.text
        section = _SECTION.match(text)
        if section:
            self.close()
            self.name, self.opened = section["name"].strip(), line.number
            self.times = int(section["times"] or 1)
            if not 1 <= self.times <= MOST_TIMES:
                self.report.add(
                    line.number,
                    section.start("times") + 1,
                    f"a section is played x1 to x{MOST_TIMES}, not {self.times} times; correct it",
                )
            if section["bars"]:
                self.read_bars(line, section.start("bars"))
        elif text.lstrip().startswith("|"):
            self.read_bars(line, text.index("|"))
        elif text.lstrip().startswith("["):
            self.report.add(
                line.number,
                text.index("[") + 1,
                "the section's name is not closed; write [Name] or [Name] x2",
            )
        else:
            self.report.add(
                line.number,
                len(text) - len(text.lstrip()) + 1,
                "this is no line of a chart; bars begin with a barline '|', a section is "
                "[Name], and the solo stands after a line 'line:'",
            )

    def close(self) -> None:
        """Ends the section that is open."""
        if self.bars:
            times = min(max(self.times, 1), MOST_TIMES)
            self.sections.append(Section(self.name or "", tuple(self.bars), times))
        elif self.name is not None:
            self.report.add(
                self.opened, 1, f"section [{self.name}] has no bars; write some or drop it"
            )
        self.name, self.times, self.bars = None, 1, []

    def read_bars(self, line: TextLine, start: int) -> None:
        text = line.text
        barlines = [match.span() for match in re.finditer(r"\|+", text) if match.start() >= start]
        if barlines[-1][1] < len(text):
            self.report.add(
                line.number,
                len(text) + 1,
                "the last bar is not closed; end it with a barline '|' (the file may be cut off)",
            )
            barlines.append((len(text), len(text)))
        elif len(barlines) == 1:
            self.report.add(line.number, start + 1, "no bar follows this barline; write one, such as | A7 |")
        for (_, left), (right, _) in pairwise(barlines):
            self.before = self.read_bar(line, left, right)
            self.bars.append(self.before)

    def read_bar(self, line: TextLine, left: int, right: int) -> Bar:
        cell = line.text[left:right]

        def problem(at: int, text: str) -> None:
            self.report.add(line.number, left + at + 1, text)

        marks = [(match.start(), match[1].strip()) for match in _MARK.finditer(cell)]
        plain = _MARK.sub(lambda match: " " * len(match[0]), cell)
        for brace in re.finditer(r"[{}]", plain):
            problem(brace.start(), "this brace has no partner; write a mark such as {hit 1 2.5}")
        plain = re.sub(r"[{}]", " ", plain)
        self.meter = _find_meter(marks, self.meter, problem)
        pickup, self.pickup = self.pickup, None
        short = _find_short(marks, self.meter, pickup, problem)
        bar = Bar(self.meter, short=None if short == self.meter.length else short)
        lead_in = ZERO if pickup is None else self.meter.length - bar.length
        words = [(match.start(), match[0]) for match in re.finditer(r"\S+", plain)]
        bar = replace(bar, chords=_read_chords(words, bool(marks), bar, lead_in, self.before, problem))
        return _read_marks(marks, bar, lead_in, problem)


def _find_meter(marks: list[_Word], meter: Meter, problem: _Problem) -> Meter:
    """The meter that a mark changes to, else the one in force."""
    for at, mark in marks:
        if _METER.fullmatch(mark):
            try:
                meter = parse_meter(mark)
            except InputError as error:
                problem(at, str(error))
    return meter


def _find_short(marks: list[_Word], meter: Meter, pickup: Time | None, problem: _Problem) -> Time | None:
    """The length of a bar that is not as long as its meter."""
    short = pickup
    for at, mark in marks:
        word, _, rest = mark.partition(" ")
        if word != "short":
            continue
        length = parse_number(rest.strip())
        if pickup is not None:
            problem(at, "this is the pickup bar, whose length stands in the header; drop this mark")
        elif not length or length > LONGEST_BAR:
            problem(at, "write how many quarters the bar lasts, such as {short 2}")
        else:
            short = length
    if pickup is not None and pickup > meter.length:
        problem(0, f"the pickup is longer than a bar of {meter}; correct 'pickup:' in the header")
        return None
    return short


def _read_chords(
    words: list[_Word], marked: bool, bar: Bar, lead_in: Time, before: Bar | None, problem: _Problem
) -> tuple[ChordAt, ...]:
    if not words and not marked:
        problem(0, "this bar is empty; write its chord, % to repeat the bar before, or . to hold its chord")
    if not words or [word for _, word in words] == ["."]:
        return ()
    if any(word == "%" for _, word in words):
        return _repeat(words, bar, before, problem)
    if any("@" in word for _, word in words):
        return _chords_at_beats(words, bar, lead_in, problem)
    step = _find_step(len(words), any(word == "." for _, word in words), bar)
    if isinstance(step, str):
        problem(words[0][0], step)
    placed = [
        (index * step if isinstance(step, Fraction) else ZERO, at, word)
        for index, (at, word) in enumerate(words)
        if word != "."
    ]
    chords = [_read_chord(word, offset, at, problem) for offset, at, word in placed]
    return tuple(chord for chord in chords if chord)


def _repeat(words: list[_Word], bar: Bar, before: Bar | None, problem: _Problem) -> tuple[ChordAt, ...]:
    if len(words) > 1:
        problem(words[1][0], "% repeats a whole bar and stands alone in it; write the chords out")
    elif before is None:
        problem(words[0][0], "% has no bar before it to repeat; write the chord")
    elif any(change.offset >= bar.length for change in before.chords):
        problem(words[0][0], "% can't repeat the longer bar before; write the chords out")
    else:
        return before.chords
    return ()


def _find_step(entries: int, dotted: bool, bar: Bar) -> Time | str:
    """Quarters from one entry of a bar to the next, or what is wrong with their number."""
    beats, pulses = bar.length * bar.meter.unit / 4, bar.length / bar.meter.pulse
    if dotted:
        if entries in (beats, pulses):
            return bar.length / entries
        few_or_many = "few" if entries < beats else "many"
        return (
            f"too {few_or_many} beats: {entries} entries in a bar of {number_text(beats)}; "
            "with dots, write a chord or a dot for every beat"
        )
    if entries == 1 or beats % entries == 0:
        return bar.length / entries
    if entries > beats:
        return (
            f"too many beats: {entries} chords in a bar of {number_text(beats)}; "
            "open another bar, or write C@2.5"
        )
    return (
        f"{entries} chords don't share a bar of {number_text(beats)} beats evenly; "
        "write a dot for every beat that a chord is held, such as C . G7"
    )


def _chords_at_beats(words: list[_Word], bar: Bar, lead_in: Time, problem: _Problem) -> tuple[ChordAt, ...]:
    """Chords with their beat behind them: ``A7 D7@4.5``; one without stands at the bar's start."""
    chords: list[ChordAt] = []
    for at, word in words:
        symbol, sign, beat = word.rpartition("@") if "@" in word else (word, "", "")
        offset = _read_beat(beat, bar, lead_in, at + len(symbol) + 1, problem) if sign else ZERO
        if offset is None:
            continue
        if chords and offset <= chords[-1].offset:
            problem(
                at, "this chord doesn't come after the one before it; give it a later beat, such as D7@4.5"
            )
            continue
        chord = _read_chord(symbol, offset, at, problem)
        if chord:
            chords.append(chord)
    return tuple(chords)


def _read_chord(symbol: str, offset: Time, at: int, problem: _Problem) -> ChordAt | None:
    if symbol in NO_CHORD:
        return ChordAt(offset, None)
    try:
        return ChordAt(offset, parse_chord(symbol))
    except InputError as error:
        problem(at, str(error))
        return None


def _read_marks(marks: list[_Word], bar: Bar, lead_in: Time, problem: _Problem) -> Bar:
    """The bar with its hits, break and answers."""
    hits: set[Time] = set()
    answer: set[Time] = set()
    pause = answered = False
    for at, mark in marks:
        word, *beats = mark.replace(",", " ").split() or [""]
        if _METER.fullmatch(mark) or word == "short":
            continue
        found = [_read_beat(beat, bar, lead_in, at, problem) for beat in beats]
        offsets = {offset for offset in found if offset is not None}
        if word == "hit":
            hits |= offsets
            if not beats:
                problem(at, "write the beats of the hits, such as {hit 1 2.5 4}")
        elif word == "answer":
            answered, answer = True, answer | offsets
        elif word == "break":
            pause = True
            if beats:
                problem(at, "a break is the whole bar; write {break}")
        else:
            problem(
                at,
                f"'{{{mark}}}' is not a mark{nearest(word, MARKS)}; "
                "write {hit 1 2.5}, {break}, {answer}, {3/4} or {short 2}",
            )
    return replace(
        bar, hits=tuple(sorted(hits)), pause=pause, answered=answered, answer=tuple(sorted(answer))
    )


def _read_beat(text: str, bar: Bar, lead_in: Time, at: int, problem: _Problem) -> Time | None:
    """The offset in the bar of a beat as players count it."""
    beat = parse_number(text)
    if beat is None:
        problem(at, f"'{text}' is not a beat; write a number such as 1, 2.5 or 1⅓")
        return None
    offset = beat - 1 - lead_in
    if not 0 <= offset < bar.length:
        first, end = number_text(lead_in + 1), number_text(lead_in + bar.length + 1)
        problem(at, f"beat {text} is not in this bar, which begins with {first} and ends before {end}")
        return None
    return offset
