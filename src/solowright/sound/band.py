"""The chart as a band reads it: bar by bar, what is struck, held, left silent, and where it ends.

Times are written time from the tune's start. How each player fills a bar stands in ``bass``,
``comping`` and ``drums``; what all of them obey stands here: hits are struck together and held to
the next, nothing sounds in a pause but hits written there, a pickup bar belongs to the soloist, the
last bar is struck once and held.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from typing import TypeVar

from solowright.music.chart import Chart
from solowright.music.chord import Chord
from solowright.music.time import QUARTER, Meter, Time

_Some = TypeVar("_Some")

DOTTED = Fraction(3, 2)
ALIKE = 3  # bars in a row that may be the same
_TRIES = 40
HIT_LENGTH = QUARTER  # a hit rings at most this long, save the last of the tune


@dataclass(frozen=True, slots=True)
class BandNote:
    """A note for bass, comping or brass. ``level`` 1 is an ordinary one."""

    onset: Time
    end: Time
    midi: int
    level: float = 1.0
    dead: bool = False  # a thump without pitch


@dataclass(frozen=True, slots=True)
class Harmony:
    """One chord inside one bar; ``changed`` where it is another than before."""

    start: Time
    end: Time
    chord: Chord
    changed: bool
    following: Chord | None  # what comes after the bar's part of it, itself where it goes on


@dataclass(frozen=True, slots=True)
class BandBar:
    """A bar of the chart. ``hits`` are (time, end) pairs; where there are any, nothing else is
    played by those who play notes. ``opens`` and ``closes``: a section begins or ends with the bar."""

    start: Time
    end: Time
    meter: Meter
    harmonies: tuple[Harmony, ...]
    hits: tuple[tuple[Time, Time], ...]
    answer: tuple[tuple[Time, Time], ...]
    silent: bool
    opens: bool
    closes: bool

    @property
    def beat(self) -> Time:
        """What the band counts in: quarters, or dotted quarters in 3/8, 6/8, 9/8 and 12/8."""
        return DOTTED if self.meter.unit == 8 and self.meter.beats % 3 == 0 else QUARTER

    @property
    def beats(self) -> tuple[Time, ...]:
        """Times of the bar's beats."""
        return steps(self.start, self.end, self.beat)

    def chord_at(self, time: Time) -> Chord | None:
        """The bar's chord at a time, None where it has none."""
        return next((h.chord for h in self.harmonies if h.start <= time < h.end), None)


def read_bars(chart: Chart) -> tuple[BandBar, ...]:
    """All bars of the chart as the band plays them."""
    openings = {index for index, _ in chart.section_starts} | {len(chart.bars)}
    found = []
    for index, bar in enumerate(chart.bars):
        start, end = chart.starts[index], chart.starts[index + 1]
        last = index == len(chart.bars) - 1
        hits = sorted({start + hit for hit in bar.hits})
        if last and not hits and not bar.pause:
            hits = [start]
        found.append(
            BandBar(
                start, end, bar.meter,
                _harmonies(chart, start, end),
                _spans(hits, end, hold_last=last),
                _spans(sorted({start + offset for offset in bar.answer}), end, hold_last=last),
                silent=bar.pause or (chart.pickup and index == 0),
                opens=index in openings,
                closes=index + 1 in openings and not last,
            )
        )  # fmt: skip
    return tuple(found)


def steps(start: Time, end: Time, step: Time) -> tuple[Time, ...]:
    """Times from ``start`` on, a ``step`` apart, before ``end``."""
    return tuple(start + step * n for n in range(-(-(end - start) // step)))


def freshly(
    make: Callable[[], list[_Some]],
    shape: Callable[[_Some], object],
    recent: list[object],
    otherwise: Callable[[list[_Some]], list[_Some]] = list,
) -> list[_Some]:
    """A bar as ``make`` plays it, made again while the three in ``recent`` before it are just the same.

    ``make`` draws its choices anew each time; ``shape`` is what tells one note from another within the
    bar. Where the chart leaves no choice (a chord on every beat), ``otherwise`` changes the bar.
    """
    for _ in range(_TRIES):
        made = make()
        bar = [shape(note) for note in made]
        if recent[-ALIKE:] != [bar] * ALIKE:
            break
    else:
        made = otherwise(made)
        bar = [shape(note) for note in made]
    recent.append(bar)
    return made


def cut_last(notes: list[BandNote]) -> list[BandNote]:
    """The bar with what is struck last in it cut to half its length, to breathe before the next."""
    last = max((note.onset for note in notes), default=None)
    return [
        replace(note, end=(note.onset + note.end) / 2) if note.onset == last else note for note in notes
    ]


def notes_within(bar: BandBar) -> Callable[[BandNote], object]:
    """What tells the notes of a bar apart: all but their level."""
    return lambda note: (note.onset - bar.start, note.end - bar.start, note.midi, note.dead)


def silences(bars: tuple[BandBar, ...]) -> tuple[tuple[Time, Time], ...]:
    """(start, end) of every stretch in which the band makes no sound at all, as long as it lasts."""
    found: list[tuple[Time, Time]] = []
    for bar in bars:
        edges = [bar.start, *(time for span in bar.hits for time in span), bar.end] if bar.silent else []
        for start, end in zip(edges[::2], edges[1::2], strict=True):
            if found and found[-1][1] == start:
                start = found.pop()[0]
            if start < end:
                found.append((start, end))
    return tuple(found)


def _harmonies(chart: Chart, start: Time, end: Time) -> tuple[Harmony, ...]:
    found = []
    for (begin, stop, chord), (_, _, following) in pairwise([*chart.spans, (end, end, None)]):
        if chord is not None and begin < end and stop > start:
            then = chord if stop > end else following
            found.append(Harmony(max(begin, start), min(stop, end), chord, begin >= start, then))
    return tuple(found)


def _spans(times: list[Time], end: Time, hold_last: bool) -> tuple[tuple[Time, Time], ...]:
    """Every strike with where it stops: the next strike, the bar's end, or a hit's length."""
    found = [(time, min(following, time + HIT_LENGTH)) for time, following in pairwise([*times, end])]
    if hold_last and found:
        found[-1] = (found[-1][0], end)
    return tuple(found)
