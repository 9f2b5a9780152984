"""The chart: bars with chords in named sections, and what the band does there.

Times inside a bar are offsets in quarters from the bar's first note (a pickup bar starts late: see
``Bar.lead_in``). Bars are written once a section and counted as played: ``times`` unrolls.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import pairwise

from solowright.music.chord import Chord
from solowright.music.time import COMMON_TIME, ZERO, Meter, Time


@dataclass(frozen=True, slots=True)
class ChordAt:
    """A chord from an offset on, until the next. ``chord`` None is ``N.C.``."""

    offset: Time
    chord: Chord | None


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar. ``chords`` may be empty: the chord before is held over the barline.

    ``hits`` are the offsets the band strikes together; in a ``pause`` bar the band is silent (the
    trade's "break"); ``answer`` holds the offsets of a written band answer (horns, say), and
    ``answered`` tells that the band answers here even where no rhythm is written.
    """

    meter: Meter = COMMON_TIME
    chords: tuple[ChordAt, ...] = ()
    hits: tuple[Time, ...] = ()
    pause: bool = False
    answered: bool = False
    answer: tuple[Time, ...] = ()
    short: Time | None = None  # length where it is not the meter's: a pickup, or a cut bar

    @property
    def length(self) -> Time:
        """Quarter notes in the bar."""
        return self.meter.length if self.short is None else self.short


@dataclass(frozen=True, slots=True)
class Section:
    """A named run of bars, played ``times`` times over."""

    name: str
    bars: tuple[Bar, ...]
    times: int = 1


@dataclass(frozen=True, slots=True)
class Place:
    """A spot in the tune as players say it: ``bar`` counts from 1 (a pickup bar is 0), ``beat``
    counts quarter notes from 1 inside the bar."""

    bar: int
    beat: Fraction

    def __str__(self) -> str:
        return f"bar {self.bar} beat {beat_text(self.beat)}"


def beat_text(beat: Fraction) -> str:
    """A beat as players write it: ``3``, ``2.5``, ``4.75``, and thirds as ``1⅓``."""
    whole, rest = divmod(beat, 1)
    if rest in (Fraction(1, 3), Fraction(2, 3)):
        return f"{whole}{'⅓' if rest == Fraction(1, 3) else '⅔'}"
    return f"{float(beat):.3f}".rstrip("0").rstrip(".")


KEPT = 8192  # places that a chart knows at the most


@dataclass(frozen=True)
class Chart:
    """Sections in order. ``pickup`` tells that the first bar is an upbeat and counts as bar 0.

    ``first`` is the number of the first whole bar: an excerpt keeps the numbers of its tune.
    """

    sections: tuple[Section, ...]
    pickup: bool = False
    first: int = 1

    @cached_property
    def bars(self) -> tuple[Bar, ...]:
        """All bars as played, sections unrolled."""
        return tuple(bar for section in self.sections for _ in range(section.times) for bar in section.bars)

    @cached_property
    def starts(self) -> tuple[Time, ...]:
        """Start of every played bar, and the end of the last: one longer than ``bars``."""
        starts = [ZERO]
        for bar in self.bars:
            starts.append(starts[-1] + bar.length)
        return tuple(starts)

    @cached_property
    def _starts(self) -> tuple[float, ...]:
        """The same, quicker to compare; equal times are equal here, and others stay apart."""
        return tuple(map(float, self.starts))

    @property
    def length(self) -> Time:
        """Quarter notes from the first bar to the end of the last."""
        return self.starts[-1]

    @cached_property
    def section_starts(self) -> tuple[tuple[int, str], ...]:
        """(index into ``bars``, name) of every section as played, repeats included."""
        found, index = [], 0
        for section in self.sections:
            for _ in range(section.times):
                found.append((index, section.name))
                index += len(section.bars)
        return tuple(found)

    @cached_property
    def spans(self) -> tuple[tuple[Time, Time, Chord | None], ...]:
        """(start, end, chord) over the whole tune, without gaps; None is ``N.C.``

        Equal chords that follow each other are one span.
        """
        changes: list[tuple[Time, Chord | None]] = []
        for start, bar in zip(self.starts, self.bars, strict=False):
            changes += [(start + change.offset, change.chord) for change in bar.chords]
        if not changes or changes[0][0] > 0:
            changes.insert(0, (ZERO, None))
        kept = changes[:1]
        kept += [now for before, now in pairwise(changes) if now[1] != before[1]]
        ends = [start for start, _ in kept[1:]] + [self.length]
        return tuple((start, end, chord) for (start, chord), end in zip(kept, ends, strict=True))

    @cached_property
    def _span_starts(self) -> tuple[Time, ...]:
        return tuple(start for start, _, _ in self.spans)

    def chord_at(self, time: Time) -> Chord | None:
        """The chord of the moment; None where there is none."""
        return self.spans[max(0, bisect_right(self._span_starts, time) - 1)][2]

    def bar_index(self, time: Time) -> int:
        """Index into ``bars`` of the bar that holds ``time``; the last bar from its end on."""
        return min(max(0, bisect_right(self._starts, float(time)) - 1), len(self.bars) - 1)

    def number(self, index: int) -> int:
        """The number players give the bar at ``index``: from 1 (see ``first``), a pickup bar is 0."""
        return index + self.first - self.pickup

    def index(self, number: int) -> int:
        """Index into ``bars`` of the bar that players call ``number``."""
        return number - self.first + self.pickup

    def lead_in(self, index: int) -> Time:
        """Quarters missing before the first note of the bar at ``index``: a pickup's, else 0."""
        if self.pickup and index == 0:
            return self.bars[0].meter.length - self.bars[0].length
        return ZERO

    @cached_property
    def _places(self) -> dict[Time, Place]:
        return {}

    def place(self, time: Time) -> Place:
        """The bar and beat of a time."""
        found = self._places.get(time)
        if found is None:
            if len(self._places) >= KEPT:
                self._places.clear()
            index = self.bar_index(time)
            beat = time - self.starts[index] + 1
            found = Place(self.number(index), beat if index else beat + self.lead_in(index))
            self._places[time] = found
        return found

    def time(self, place: Place) -> Time:
        """The time of a bar and beat (the other way round)."""
        index = self.index(place.bar)
        return self.starts[index] + place.beat - 1 - self.lead_in(index)
