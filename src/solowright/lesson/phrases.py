"""The solo in pieces that can be taught: whole bars, cut where the line breathes.

Model: the reading's phrases, cut again at sections and, where one runs on, at the barline with the
longest wait before it. A piece that is too short to be worth a take joins the one before it.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from solowright.harmony.ground import Ground, lay_out
from solowright.harmony.record import Reading, Sentence
from solowright.music.chart import Chart
from solowright.music.time import Time
from solowright.music.tune import Tune

LONGEST = 4  # bars that can be shown, sung and kept in mind at once (common practice, no source)
FEWEST = 4  # notes that are worth a take of their own


@dataclass(frozen=True, slots=True)
class Phrase:
    """A piece: its number from 1, the section it stands in, its first and last bar as players count
    them, the onset of its first note and the end of its last, and its notes' places in the line."""

    number: int
    section: str
    first: int
    last: int
    start: Time
    end: Time
    notes: tuple[int, ...]

    @property
    def bars(self) -> str:
        """The bars in words."""
        return f"bar {self.first}" if self.first == self.last else f"bars {self.first}–{self.last}"


def find_phrases(tune: Tune) -> tuple[Phrase, ...]:
    """The pieces of a line in order; together they hold every note that has a pitch."""
    ground = lay_out(tune)
    pieces: list[tuple[int, int]] = []
    for first, stop in ground.phrases:
        pieces += _cut(ground, first, stop)
    joined: list[tuple[int, int]] = []
    for first, stop in pieces:
        if joined and _too_short(ground, first, stop) and _bars(ground, joined[-1][0], stop) <= LONGEST + 1:
            joined[-1] = (joined[-1][0], stop)
        else:
            joined.append((first, stop))
    return tuple(_phrase(ground, first, stop, n) for n, (first, stop) in enumerate(joined, 1))


def sentences_in(reading: Reading, phrase: Phrase) -> tuple[Sentence, ...]:
    """What the reading says about a piece: the sentences that begin in it."""
    return tuple(each for each in reading.sentences if phrase.start <= each.start < phrase.end)


def _cut(ground: Ground, first: int, stop: int) -> list[tuple[int, int]]:
    """A phrase cut at its sections, and then wherever it is still too long."""
    opened = {index for index, _ in ground.tune.chart.section_starts}
    bars = [_bar(ground, event) for event in range(first, stop)]
    steps = enumerate(pairwise(bars), first + 1)
    turns = [event for event, (before, now) in steps if before != now and now in opened]
    edges = [first, *turns, stop]
    pieces = [piece for a, b in pairwise(edges) for piece in _halve(ground, a, b)]
    if len(pieces) > 1 and stop - pieces[-1][0] < FEWEST + 2 and _bars(ground, *pieces[-1]) == 1:
        pieces[-2:] = [(pieces[-2][0], stop)]  # the landing belongs to what it ends
    return pieces


def _halve(ground: Ground, first: int, stop: int) -> list[tuple[int, int]]:
    if _bars(ground, first, stop) <= LONGEST:
        return [(first, stop)]
    middle = (ground.events[first].start + ground.events[stop - 1].start) / 2
    places = [event for event in range(first + 1, stop) if _bar(ground, event) != _bar(ground, event - 1)]
    events = ground.events

    def fit(event: int) -> float:
        wait = events[event].start - events[event - 1].start
        return wait - 0.25 * abs(events[event].start - middle)

    at = max(places, key=fit)
    return [*_halve(ground, first, at), *_halve(ground, at, stop)]


def _bar(ground: Ground, event: int) -> int:
    return ground.tune.chart.bar_index(ground.time(ground.events[event].start))


def _bars(ground: Ground, first: int, stop: int) -> int:
    return _bar(ground, stop - 1) - _bar(ground, first) + 1


def _too_short(ground: Ground, first: int, stop: int) -> bool:
    return sum(len(ground.events[event].notes) for event in range(first, stop)) < FEWEST


def _phrase(ground: Ground, first: int, stop: int, number: int) -> Phrase:
    chart: Chart = ground.tune.chart
    events = ground.events[first:stop]
    places = sorted(place for event in events for place in (*event.graces, *event.notes))
    start, end = ground.time(events[0].start), max(ground.time(event.end) for event in events)
    begun, ended = _bar(ground, first), _bar(ground, stop - 1)
    section = [name for index, name in chart.section_starts if index <= begun][-1]
    return Phrase(number, section, chart.number(begun), chart.number(ended), start, end, tuple(places))
