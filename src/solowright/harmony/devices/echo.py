"""Echoes: a phrase said again later, at another pitch or with something changed; and inside a long
phrase a bar, or the figure in its first half, that is an earlier bar's again, beat for beat.

Phrases are compared by their intervals (at another pitch) or their notes (varied), the likeness being
twice the notes in common over all notes of both.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from difflib import SequenceMatcher
from itertools import pairwise
from typing import NamedTuple

from solowright.harmony.devices.found import KIND_BITS, NOTE_BITS, Found, choice_bits
from solowright.harmony.ground import Ground

TRANSPOSED, VARIED = "transposed-phrase", "varied-echo"
SHORTEST = 5  # notes
LONGEST = 40  # notes
BACK = 12  # phrases: how long a listener keeps one in mind
LIKE = 0.7  # likeness of an echo
INTERVAL_BITS = 3.5
BARS_BACK = 8  # how far back a single bar is remembered…
FIGURE_BACK = 2  # …and the figure in its first half
FIGURE = 4  # notes
CHANGE_BITS = 2.0  # beside the note itself: where it is changed


def find(ground: Ground) -> Iterator[Found]:
    """For every phrase the best of the phrases before it that it echoes."""
    midi = [event.midi for event in ground.events]
    for number, (first, stop) in enumerate(ground.phrases):
        if not SHORTEST <= stop - first <= LONGEST:
            continue
        echoes = []
        for earlier in ground.phrases[max(0, number - BACK) : number]:
            if SHORTEST <= earlier[1] - earlier[0] <= LONGEST:
                echo = _compare(ground, midi, earlier, (first, stop))
                if echo is not None:
                    echoes.append(echo)
        if echoes:
            yield min(echoes, key=lambda found: found.bits)
    yield from _bars_again(ground, midi)


def _bars_again(ground: Ground, midi: list[int]) -> Iterator[Found]:
    """Every bar of five notes or more with the intervals and the rhythm of a bar not long before, and
    every first half of four with those of the bar just before or the one before that."""
    chart = ground.tune.chart
    bars: dict[_Figure, tuple[int, int]] = {}
    halves: dict[_Figure, tuple[int, int]] = {}
    for bar, (first, stop) in _bars(ground).items():
        start = int(chart.starts[bar] * ground.ticks)
        middle = start + int(chart.bars[bar].length * ground.ticks) // 2
        half = bisect_left(ground.events, middle, first, stop, key=lambda event: event.start)
        whole = _Part(first, stop, stop, SHORTEST, BARS_BACK, "bar")
        opening = _Part(first, half, stop, FIGURE, FIGURE_BACK, "figure")
        for part, last in ((whole, bars), (opening, halves)):
            found = _part_again(ground, midi, start, bar, part, last)
            if found is not None:
                yield found


_Figure = tuple[tuple[int, ...], tuple[int, ...]]  # intervals, and ticks after the barline


class _Part(NamedTuple):
    """The events from ``first`` up to ``stop`` of a bar that goes on to ``end``; ``fewest`` of them are
    remembered for ``back`` bars."""

    first: int
    stop: int
    end: int
    fewest: int
    back: int
    name: str


def _part_again(
    ground: Ground, midi: list[int], start: int, bar: int, part: _Part, last: dict[_Figure, tuple[int, int]]
) -> Found | None:
    """The part as an echo of the same part of an earlier bar; ``last`` tells (bar, event) for each
    figure, and is kept up."""
    first, stop = part.first, part.stop
    events = ground.events[first:stop]
    if len(events) < part.fewest or not all(event.single for event in events):
        return None
    intervals = tuple(b - a for a, b in pairwise(midi[first:stop]))
    key = intervals, tuple(event.start - start for event in events)
    earlier = last.get(key)
    last[key] = bar, first
    if earlier is None or bar - earlier[0] > part.back or len(set(intervals)) == 1:
        return None
    if part.name == "figure" and 0 in intervals:
        return None
    of = _place(ground, earlier[1])
    apart = midi[first] - midi[earlier[1]]
    bits = KIND_BITS + choice_bits(part.back)
    if apart:
        facts = {"of": of, "interval": apart, "part": part.name, "then": _then(ground, stop, part.end)}
        return Found(TRANSPOSED, first, stop, bits + INTERVAL_BITS, facts)
    facts = {"of": of, "similarity": 1.0, "changed": 0, "left_out": 0, "part": part.name}
    return Found(VARIED, first, stop, bits, facts)


def _then(ground: Ground, start: int, stop: int) -> dict[str, object] | None:
    """Where a bar goes behind its figure, if that is one way to a note of the chord."""
    midi = [event.midi for event in ground.events[start - 1 : stop]]
    moves = {after > before for before, after in pairwise(midi)}
    colours = ground.colours(stop - 1)
    if len(midi) <= 2 or len(moves) > 1 or colours is None or midi[-1] % 12 not in colours.core:
        return None
    return {
        "direction": "up" if moves.pop() else "down",
        "note": ground.name(stop - 1),
        "degree": colours.names[midi[-1] % 12],
        "over": colours.chord.symbol,
    }


def _place(ground: Ground, index: int) -> dict[str, float]:
    place = ground.tune.chart.place(ground.time(ground.events[index].start))
    return {"bar": place.bar, "beat": float(place.beat)}


def _bars(ground: Ground) -> dict[int, tuple[int, int]]:
    """First event and one past the last of every bar (by its index) in which something is struck."""
    starts = [int(start * ground.ticks) for start in ground.tune.chart.starts]
    bars: dict[int, tuple[int, int]] = {}
    for index, event in enumerate(ground.events):
        bar = min(bisect_right(starts, event.start) - 1, len(starts) - 2)
        bars[bar] = bars.get(bar, (index, index))[0], index + 1
    return bars


def _compare(
    ground: Ground, midi: list[int], earlier: tuple[int, int], later: tuple[int, int]
) -> Found | None:
    old, new = midi[earlier[0] : earlier[1]], midi[later[0] : later[1]]
    of = _place(ground, earlier[0])
    bits = KIND_BITS + choice_bits(BACK)
    apart = new[0] - old[0]
    if len(old) == len(new) and apart and all(b - a == apart for a, b in zip(old, new, strict=True)):
        facts = {"of": of, "interval": apart, "part": "phrase"}
        return Found(TRANSPOSED, later[0], later[1], bits + INTERVAL_BITS, facts)
    matcher = SequenceMatcher(None, old, new, autojunk=False)
    if matcher.real_quick_ratio() < LIKE or matcher.quick_ratio() < LIKE or matcher.ratio() < LIKE:
        return None
    kept = sum(block.size for block in matcher.get_matching_blocks())
    changed = len(new) - kept
    facts = {
        "of": of, "similarity": round(matcher.ratio(), 2), "changed": changed,
        "left_out": max(0, len(old) - len(new)), "part": "phrase",
    }  # fmt: skip
    return Found(VARIED, later[0], later[1], bits + changed * (NOTE_BITS + CHANGE_BITS), facts)
