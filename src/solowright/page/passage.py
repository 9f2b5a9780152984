"""Some bars of a tune as a value: all that their written page depends on, and nothing else.

Equal passages look alike, so what was drawn once can be kept and an edit draws anew only the systems it
touches. Beside its own bars a passage holds what shows in them of their neighbours: the note a tie or slur
comes from or leads to, a meter that changes at its edge, accidentals to be reminded of.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, fields
from functools import cached_property, lru_cache
from operator import attrgetter
from typing import Any

from solowright.music.chart import Bar, Chart, Section
from solowright.music.line import Line, Note
from solowright.music.time import Feel, Time
from solowright.music.tune import Key, Tune

KEPT = 1024  # passages that are kept, of several tunes: bars and systems
SLURRED = ("hammer", "pull", "slide")  # entries that no pick stroke makes
_SHARPS = (3, 0, 4, 1, 5, 2, 6)  # letters in the order of a signature's sharps; flats run backwards


@dataclass(frozen=True)
class Passage:
    """Bars ``before`` up to ``before + count`` (indices into the cut ``tune``). Times count from the start
    of the cut tune; what players call the bars stands with the cut.

    ``sections`` are those that open in these bars or just behind, by bar; ``opening`` is the tempo and
    feel where the tune begins here, ``tempos`` later ones; ``ending`` where it ends here; ``signs`` are
    the alterations, other than the signature's, left by the bar before: (height, alteration).
    """

    tune: Tune
    before: int
    count: int
    sections: tuple[tuple[int, str], ...]
    opening: tuple[float, Feel] | None
    tempos: tuple[tuple[Time, float], ...]
    ending: bool
    signs: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Cut:
    """A passage, and where in the whole tune it was cut: the number of its first bar that shows, its first
    note's place and its start."""

    passage: Passage
    number: int
    note: int
    start: Time


def is_slurred(note: Note) -> bool:
    """Whether the note is joined to the one before it, by the left hand or by a written slur."""
    return note.slurred or note.entry in SLURRED


def signature(tune: Tune) -> dict[int, int]:
    """Alteration of each letter that the key signature prints."""
    fifths = printed_fifths(tune)
    letters = _SHARPS[:fifths] if fifths > 0 else _SHARPS[::-1][:-fifths]
    return dict.fromkeys(letters, 1 if fifths > 0 else -1)


def printed_fifths(tune: Tune) -> int:
    """Sharps or flats of the signature; keys beyond seven of them are printed without one."""
    return tune.key.fifths if abs(tune.key.fifths) <= 7 else 0


@dataclass(frozen=True)
class Whole:
    """A tune to be cut into passages."""

    tune: Tune

    @cached_property
    def _onsets(self) -> list[float]:
        """Quicker to compare than exact times; equal ones are equal here, and others stay apart."""
        return [float(note.onset) for note in self.tune.line.notes]

    @cached_property
    def _ends(self) -> list[float]:
        return [float(end) for end in self.tune.line.ends]

    @cached_property
    def _starts(self) -> list[float]:
        return [float(start) for start in self.tune.chart.starts]

    @cached_property
    def _sections(self) -> dict[int, str]:
        return dict(self.tune.chart.section_starts)

    @cached_property
    def _signature(self) -> dict[int, int]:
        return signature(self.tune)

    def cut(self, first: int, stop: int) -> Cut:
        """The bars from index ``first`` up to ``stop``."""
        tune, chart = self.tune, self.tune.chart
        start, end = self._starts[first], self._starts[stop]
        low, high = bisect_left(self._onsets, start), bisect_left(self._onsets, end)
        begin, last = self._lead_in(low, start), self._lead_out(high)
        edge, behind = self._bars_around(first, stop, low, begin, high, last)
        origin, limit = chart.starts[edge], chart.starts[behind]
        if last < len(self._onsets):
            limit = min(limit, tune.line.notes[last].onset)
        passage = _make_passage(
            tune.line.notes[begin:last],
            origin,
            limit,
            chart.bars[edge:behind],
            chart.pickup and edge == 0,
            (tune.key, tune.tuning, tune.capo),
            first - edge,
            stop - first,
            tuple((i - edge, self._sections[i]) for i in range(first, stop + 1) if i in self._sections),
            (tune.tempo.first, tune.feel) if first == 0 else None,
            tuple((time - origin, bpm) for time, bpm in tune.tempo.changes[1:] if start <= float(time) < end),
            stop == len(chart.bars),
            self._signs(first, low) if first else (),
        )
        return Cut(passage, chart.number(first), begin, origin)

    def _lead_in(self, low: int, start: float) -> int:
        """The first note that shows: one that is tied or slurred into the bars, else their own."""
        notes = self.tune.line.notes
        if not low:
            return low
        earlier = bisect_left(self._onsets, self._onsets[low - 1])
        earlier = max([earlier, *(n + 1 for n in range(earlier, low - 1) if notes[n].grace)])
        tied = any(end > start for end in self._ends[earlier:low])
        slurred = low < len(notes) and is_slurred_event(notes, low)
        return earlier if tied or slurred else low

    def _lead_out(self, high: int) -> int:
        """Behind the last note that shows: the one that a slur leads to, else the bars' own."""
        notes = self.tune.line.notes
        if not 0 < high < len(notes) or not is_slurred_event(notes, high):
            return high
        stop = high
        while stop < len(notes) and self._onsets[stop] == self._onsets[high]:
            stop += 1
        return stop

    def _bars_around(
        self, first: int, stop: int, low: int, begin: int, high: int, last: int
    ) -> tuple[int, int]:
        """The bars that have to stand before and behind for what shows of them."""
        chart, notes = self.tune.chart, self.tune.line.notes
        edge, behind = first, stop
        if begin < low:
            edge = chart.bar_index(notes[begin].onset)
        elif first and chart.bars[first - 1].meter != chart.bars[first].meter:
            edge = first - 1
        if stop < len(chart.bars):
            end = self._starts[stop]
            rung = bisect_left(self._onsets, self._onsets[high - 1]) if high else 0
            tied = any(at > end for at in self._ends[rung:high])
            tied = tied and (high == len(notes) or self._onsets[high] > end)
            if last > high:
                behind = chart.bar_index(notes[high].onset) + 1
            elif tied or chart.bars[stop].meter != chart.bars[stop - 1].meter:
                behind = stop + 1
        return edge, behind

    def _signs(self, first: int, low: int) -> tuple[tuple[int, int], ...]:
        here: dict[int, int] = {}
        begin = bisect_left(self._onsets, self._starts[first - 1])
        for note in self.tune.line.notes[begin:low]:
            here[note.pitch.height] = note.pitch.tone.alter
        plain = self._signature
        return tuple(sorted((h, alter) for h, alter in here.items() if alter != plain.get(h % 7, 0)))


def is_slurred_event(notes: tuple[Note, ...], first: int) -> bool:
    """Whether any of what is struck with the note at ``first`` is slurred to."""
    onset = notes[first].onset
    for note in notes[first:]:
        if note.onset != onset:
            return False
        if is_slurred(note):
            return True
    return False


@lru_cache(KEPT)
def _make_passage(
    notes: tuple[Note, ...],
    origin: Time,
    limit: Time,
    bars: tuple[Bar, ...],
    pickup: bool,
    facts: tuple[Key, tuple[int, ...], int],
    before: int,
    count: int,
    *rest: Any,
) -> Passage:
    """The passage of ``notes`` and ``bars`` as they stand in the tune, moved by ``origin``; its ``rest`` as
    it is. Kept, so that what an edit leaves alone is the same object after it, and found at once."""
    key, tuning, capo = facts
    cut = tuple(_cut_note(note, origin, limit) for note in notes)
    shown = range(before, before + count)
    blank = tuple(
        bar if index in shown else Bar(bar.meter, short=bar.short) for index, bar in enumerate(bars)
    )
    chart = Chart((Section("", blank),), pickup)
    return Passage(Tune("", chart, Line(cut), key=key, tuning=tuning, capo=capo), before, count, *rest)


def _cut_note(note: Note, origin: Time, limit: Time) -> Note:
    """The note with its onset counted from ``origin``, and ended at the ``limit``."""
    over = note.end > limit
    if not over and not origin:
        return note
    duration = limit - note.onset if over else note.duration
    return Note(note.pitch, note.onset - origin, duration, *_rest_of(note))


_rest_of = attrgetter(*(field.name for field in fields(Note)[3:]))
