"""When written times are played: by a tempo, a feel and the bars that its pairs are counted in.

Tunes that go alike share a clock, so that after an edit of their notes or chords no time is worked out anew.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from functools import cached_property, lru_cache

from solowright.music.time import Feel, TempoMap, Time

KEPT = 8192  # times that a clock knows at the most


@dataclass(frozen=True)
class Clock:
    """``starts`` are those of the bars, and the end of the last; ``lead_in`` is what the first lacks. Without
    bars, time is played as it is written."""

    tempo: TempoMap
    feel: Feel
    starts: tuple[Time, ...]
    lead_in: Time
    _known: dict[Time, float] = field(default_factory=dict, init=False, repr=False, compare=False)

    @cached_property
    def _edges(self) -> tuple[float, ...]:
        """Where bars begin but for the first: quicker to compare than exact times, and told apart as well."""
        return tuple(map(float, self.starts[1:-1]))

    @cached_property
    def _pairs(self) -> tuple[tuple[Time, Time], ...]:
        """For every bar the start that pairs are counted from, and where its last whole pair ends."""
        pair = 2 * self.feel.unit
        begins = (self.starts[0] - self.lead_in, *self.starts[1:-1])
        ends = zip(begins, self.starts[1:], strict=True)
        return tuple((begin, (end - begin) // pair * pair) for begin, end in ends)

    def played(self, time: Time) -> Time:
        """Where a written time falls once the feel is applied, still in quarters."""
        if self.feel.straight or len(self.starts) < 2:
            return time
        start, paired = self._pairs[bisect_right(self._edges, float(time))]
        offset = time - start
        if offset >= paired:
            return time  # the odd unit at the end of a bar of seven eighths has no partner
        return start + self.feel.played(offset)

    def seconds(self, time: Time) -> float:
        """Seconds from the start at which a written time is played: feel and tempo applied."""
        found = self._known.get(time)
        if found is None:
            if len(self._known) >= KEPT:
                self._known.clear()
            found = self._known[time] = self.tempo.seconds(self.played(time))
        return found


@lru_cache(8)
def find_clock(tempo: TempoMap, feel: Feel, starts: tuple[Time, ...], lead_in: Time) -> Clock:
    """The clock that all tunes share which go like this."""
    return Clock(tempo, feel, starts, lead_in)
