"""The attacks in rows of tablature: fret by fret, with the signs that stand around each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import combinations
from typing import Literal

from solowright.files.tab_marks import ENTRY_SIGNS, HIGHEST_FRET, SHORT_SLIDE, Mark, scan_row
from solowright.files.tab_system import System, TabBar
from solowright.files.text import Report, parse_number
from solowright.music.chart import Chart
from solowright.music.line import Bend, Entry
from solowright.music.pitch import Pitch, Tone
from solowright.music.time import ZERO, Time

FLAGS = ("vibrato", "palm_mute", "let_ring", "accent", "staccato")


@dataclass(slots=True, eq=False)
class Attack:
    """One fret as typed, on its way to a Note: the fields that a Note has too mean what they mean there.

    Columns from 0: ``lead`` where its signs begin, ``left`` to ``right`` the fret, ``count`` the word
    over it. ``before`` is the attack before on the same string, ``event`` numbers what is struck
    together, ``run_end`` is where the bars typed without a gap end.
    """

    string: int
    fret: int
    line: int
    lead: int
    left: int
    right: int
    bar: int
    run_end: Time
    before: Attack | None
    time: Time = ZERO
    end: Time = ZERO
    count: int = -1
    event: int = -1
    grace: bool = False
    stopped: bool = False  # by a comma
    lasts: Time | None = None
    slide: str = ""  # a bare / or \\ before the fret
    slide_touches: bool = False  # it stands next to this fret
    slide_leaves: bool = False  # it stands next to the fret before
    entry: Entry | None = None
    slurred: bool = False
    slide_from: int = 0
    slide_to: int = 0
    bends: list[Bend] = field(default_factory=list)
    trill: int = 0
    vibrato: bool = False
    dead: bool = False
    palm_mute: bool = False
    let_ring: bool = False
    accent: bool = False
    staccato: bool = False
    finger: int | None = None
    stroke: Literal["down", "up"] | None = None
    name: Tone | Pitch | None = None


@dataclass(slots=True)
class _String:
    """What one string's rows have said so far."""

    number: int
    last: Attack | None = None
    edge: tuple[int, int] = (0, 0)  # line and column where the last attack's signs end
    pending: list[tuple[int, Mark]] = field(default_factory=list)  # signs that wait for a fret


def read_attacks(
    systems: Sequence[System], chart: Chart, report: Report
) -> tuple[list[Attack], list[tuple[Time, int]]]:
    """Every attack, and every ``,`` as (time, string)."""
    run_ends: dict[int, Time] = {}
    for bar in (bar for system in systems for bar in system.bars):
        run_ends[bar.run] = chart.starts[bar.index + 1]
    strings = [
        _String(number) for number in range(1, 1 + max((len(system.rows) for system in systems), default=0))
    ]
    attacks: list[Attack] = []
    stops: list[tuple[Time, int]] = []
    for system in systems:
        for bar in system.bars:
            reader = _BarReader(bar, chart.starts[bar.index], run_ends[bar.run], report)
            for string, row in zip(strings, system.rows, strict=True):
                reader.read_row(string, row.number, row.text)
            attacks += reader.finish()
            stops += reader.stops
    for string in strings:
        for line, mark in string.pending:
            _leave(string, line, mark, report)
    return attacks, stops


def _leave(string: _String, line: int, mark: Mark, report: Report) -> None:
    """A sign that no fret follows: a slide off the last note, or an error."""
    if mark.text in ("/", "\\") and string.last and string.edge == (line, mark.start):
        string.last.slide_to = SHORT_SLIDE if mark.text == "/" else -min(SHORT_SLIDE, string.last.fret)
    else:
        report.add(
            line, mark.start + 1, f"'{mark.text}' leads to no note; write the fret behind it, or drop it"
        )


@dataclass(slots=True)
class _BarReader:
    bar: TabBar
    start: Time
    run_end: Time
    report: Report
    attacks: list[Attack] = field(default_factory=list)
    stops: list[tuple[Time, int]] = field(default_factory=list)

    def read_row(self, string: _String, line: int, text: str) -> None:
        """Takes in one string's row of the bar."""
        for mark in scan_row(text, self.bar.left, self.bar.right):
            if mark.kind == "fret":
                self.strike(string, line, mark)
            elif mark.kind in ("lead", "into"):
                string.pending.append((line, mark))
                continue
            elif mark.kind == "stop":
                self.stop(string, line, mark)
                continue
            elif mark.kind == "stray":
                self.report.add(line, mark.start + 1, _stray(mark.text))
                break
            elif string.last is None:
                self.report.add(
                    line,
                    mark.start + 1,
                    f"'{mark.text}' stands behind no note; write it behind the note it belongs to",
                )
            else:
                wrong = _add_tail(string.last, mark)
                if wrong:
                    self.report.add(line, mark.start + 1, wrong)
            string.edge = (line, mark.end)

    def strike(self, string: _String, line: int, mark: Mark) -> None:
        digits = mark.text.strip("x<>")
        fret = int(digits or 0)
        attack = Attack(
            string.number,
            fret,
            line,
            mark.start,
            mark.start,
            mark.end,
            self.bar.index,
            self.run_end,
            string.last,
            dead=mark.text.startswith("x"),
        )
        if fret > HIGHEST_FRET:
            self.report.add(
                line,
                mark.start + 1,
                f"no neck has a fret {digits}; between two notes write a dash "
                f"({digits[0]}-{digits[1:]}), or correct the fret",
            )
        if mark.text.endswith(">"):
            attack.entry = "harmonic"
        for lead_line, lead in reversed(string.pending):
            touches = (lead_line, lead.end) == (line, attack.lead)
            if touches:
                attack.lead = lead.start
            wrong = _add_lead(attack, lead, touches, string.edge == (lead_line, lead.start))
            if wrong:
                self.report.add(lead_line, lead.start + 1, wrong)
        string.pending = []
        string.last = attack
        if attack.grace or self.find_time(attack):
            self.attacks.append(attack)

    def find_time(self, attack: Attack) -> bool:
        """Puts an attack at the count over it; where there is none it is a problem."""
        over = [count for count in self.bar.counts if count.start < attack.right and attack.left < count.end]
        over = [count for count in over if count.start == attack.left] or over
        if len(over) == 1:
            attack.time, attack.count = self.start + over[0].offset, over[0].start
        elif self.bar.counts:
            where = "no count" if not over else "more than one count"
            self.report.add(
                attack.line,
                attack.left + 1,
                f"fret {attack.fret} stands under {where}; line it up with its count, count finer "
                "(1 e & a), or write g before a grace note",
            )
        return len(over) == 1

    def stop(self, string: _String, line: int, mark: Mark) -> None:
        over = [count for count in self.bar.counts if count.start <= mark.start < count.end]
        if over:
            self.stops.append((self.start + over[0].offset, string.number))
        elif self.bar.counts:
            self.report.add(line, mark.start + 1, "',' stands under no count; put it where the note ends")

    def finish(self) -> list[Attack]:
        """The bar's attacks, each grace note placed at the note to its right."""
        struck = [attack for attack in self.attacks if not attack.grace]
        for first, second in combinations(struck, 2):
            if (first.string, first.time) == (second.string, second.time):
                self.report.add(
                    second.line,
                    second.left + 1,
                    "two frets of one string stand under one count; give each its own",
                )
        for grace in [attack for attack in self.attacks if attack.grace]:
            after = [attack for attack in struck if attack.left > grace.left]
            if after:
                grace.time = min(after, key=lambda attack: attack.left).time
            else:
                self.report.add(
                    grace.line,
                    grace.lead + 1,
                    "no note follows this grace note in its bar; write it before one",
                )
        return self.attacks


def _stray(sign: str) -> str:
    if sign in ("b", "r"):
        return f"'{sign}' must say how far: 7b9 bends fret 7 to the sound of fret 9, r7 comes back"
    if sign in ("(", ")"):
        return "a note that is held goes on with dashes; brackets are for slides only, as in (5)/7 or 7\\(3)"
    return f"'{sign}' means nothing in a string's row; docs/sheet.md lists the signs"


def _add_lead(attack: Attack, mark: Mark, touches: bool, leaves: bool) -> str:
    """Takes a sign before a fret into the attack; what is wrong with it, or nothing."""
    sign = mark.text
    if sign == "g":
        attack.grace = True
    elif sign == "_":
        attack.slurred = True
    elif mark.kind == "into":
        attack.slide_from = int(sign[1:-2]) - attack.fret
        if (attack.slide_from < 0) != sign.endswith("/") or not attack.slide_from:
            return f"'{sign}{attack.fret}' goes the other way; write / for a slide up and \\ for one down"
    elif attack.entry or attack.slide:
        return f"'{sign}' and another sign lead into one note; keep one of them"
    elif sign in ENTRY_SIGNS:
        attack.entry = ENTRY_SIGNS[sign]
    else:
        attack.slide, attack.slide_touches, attack.slide_leaves = sign, touches, leaves
    return ""


def _add_tail(attack: Attack, mark: Mark) -> str:
    """Takes a sign behind a fret into the attack; what is wrong with it, or nothing."""
    if mark.kind in FLAGS:
        setattr(attack, mark.kind, True)
    elif mark.kind == "lasts":
        attack.lasts = parse_number(mark.text)
        return "" if attack.lasts else "a note lasts longer than nothing; write quarters, such as =1.5"
    elif mark.kind == "off":
        attack.slide_to = int(mark.text[2:-1]) - attack.fret
        if (attack.slide_to > 0) != mark.text.startswith("/") or not attack.slide_to:
            return (
                f"'{attack.fret}{mark.text}' goes the other way; write / for a slide up and \\ for one down"
            )
    elif mark.kind == "trill":
        attack.trill = int(mark.text) - attack.fret
        return "" if attack.trill > 0 else f"a trill goes to a higher fret than {attack.fret}; correct it"
    else:
        kinds: dict[str, Literal["bend", "release", "prebend"]]
        kinds = {"bend": "bend", "release": "release", "prebend": "prebend"}
        attack.bends.append(Bend(Fraction(mark.text) - attack.fret, kinds[mark.kind]))
        if attack.bends[-1].semitones < 0:
            return f"a bend can't sound lower than its fret {attack.fret}; name the fret it sounds like"
    return ""
