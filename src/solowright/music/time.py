"""Exact musical time and what turns it into seconds: meter, feel, tempo.

Written time is a ``Fraction`` of a quarter note from the start of the tune, so triplets and
sixteenths never drift. Seconds appear only where something is played.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

Time = Fraction  # quarter notes

ZERO = Fraction(0)
QUARTER = Fraction(1)
EIGHTH = Fraction(1, 2)
SIXTEENTH = Fraction(1, 4)
SLOWEST, FASTEST = 5.0, 999.0  # quarter notes a minute that a tune may be written at


@dataclass(frozen=True, slots=True)
class Meter:
    """A time signature: ``beats`` over ``unit`` (4 is a quarter, 8 an eighth)."""

    beats: int = 4
    unit: int = 4

    @property
    def length(self) -> Time:
        """Quarter notes in a full bar."""
        return Fraction(4 * self.beats, self.unit)

    @property
    def pulse(self) -> Time:
        """The felt beat in quarters: a dotted quarter in 6/8, 9/8 and 12/8, else the unit."""
        if self.unit == 8 and self.beats % 3 == 0 and self.beats > 3:
            return Fraction(3, 2)
        return Fraction(4, self.unit)

    def __str__(self) -> str:
        return f"{self.beats}/{self.unit}"


COMMON_TIME = Meter()


@dataclass(frozen=True, slots=True)
class Feel:
    """How written pairs are played. ``ratio`` is long to short: 1 straight, 2 triplet swing.

    ``unit`` is the written value that is swung, in quarters: eighths by default.
    """

    ratio: Fraction = Fraction(1)
    unit: Time = EIGHTH

    @property
    def straight(self) -> bool:
        return self.ratio == 1

    def played(self, offset: Time) -> Time:
        """Where a written offset from the bar's start is played, in quarters from the bar's start.

        Inside each pair of units time is stretched on the first and squeezed on the second half, so
        the pair's ends stay and its middle moves to ratio / (ratio + 1). Divisions that are not of
        the swung unit (a triplet eighth, say) stay straight; halves of the unit follow the stretch.
        """
        return _swing(self.ratio, self.unit, offset)


@lru_cache(4096)  # the same few offsets come again in every bar
def _swing(ratio: Fraction, unit: Time, offset: Time) -> Time:
    pair = 2 * unit
    start = offset // pair * pair
    inside = offset - start
    if ratio == 1 or not inside or (inside / unit).denominator % 3 == 0:
        return offset
    middle = pair * ratio / (ratio + 1)
    if inside <= unit:
        return start + inside / unit * middle
    return start + middle + (inside - unit) / unit * (pair - middle)


STRAIGHT = Feel()
SWING = Feel(Fraction(2))


@dataclass(frozen=True, slots=True)
class TempoMap:
    """Quarter notes a minute by time: ``changes`` is ((time, bpm), …) sorted, the first at 0."""

    changes: tuple[tuple[Time, float], ...] = ((ZERO, 120.0),)

    @property
    def first(self) -> float:
        return self.changes[0][1]

    def seconds(self, time: Time | float) -> float:
        """Seconds from the tune's start to a straight (already swung) time in quarters."""
        total = 0.0
        for (start, bpm), (end, _) in zip(self.changes, self.changes[1:], strict=False):
            if time <= end:
                return total + float(time - start) * 60.0 / bpm
            total += float(end - start) * 60.0 / bpm
        start, bpm = self.changes[-1]
        return total + float(time - start) * 60.0 / bpm

    def at(self, time: Time) -> float:
        """Quarter notes a minute in force at ``time``."""
        index = bisect_right([start for start, _ in self.changes], time) - 1
        return self.changes[max(0, index)][1]

    def scaled(self, first: float) -> TempoMap:
        """The same map with its first tempo made ``first`` and every other in proportion."""
        return TempoMap(tuple((time, bpm * first / self.first) for time, bpm in self.changes))


def steady(bpm: float) -> TempoMap:
    """One tempo throughout, in quarter notes a minute."""
    return TempoMap(((ZERO, float(bpm)),))
