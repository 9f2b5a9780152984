"""Echoes: a phrase said again later, at another pitch or with something changed; and inside a long
phrase a bar that is an earlier bar again, note for note and beat for beat.

Phrases are compared by their intervals (at another pitch) or their notes (varied), the likeness being
twice the notes in common over all notes of both.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from difflib import SequenceMatcher
from itertools import pairwise

from solowright.harmony.devices.found import KIND_BITS, NOTE_BITS, Found, choice_bits
from solowright.harmony.ground import Ground

TRANSPOSED, VARIED = "transposed-phrase", "varied-echo"
SHORTEST = 5  # notes
LONGEST = 40  # notes
BACK = 12  # phrases: how long a listener keeps one in mind
LIKE = 0.7  # likeness of an echo
INTERVAL_BITS = 3.5
BARS_BACK = 8  # how far back a single bar is remembered
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
    """Every bar of five notes or more with the intervals and the rhythm of a bar not long before."""
    chart = ground.tune.chart
    last: dict[tuple[tuple[int, ...], tuple[int, ...]], tuple[int, int]] = {}
    for bar, (first, stop) in _bars(ground).items():
        events = ground.events[first:stop]
        if stop - first < SHORTEST or not all(event.single for event in events):
            continue
        start = int(chart.starts[bar] * ground.ticks)
        intervals = tuple(b - a for a, b in pairwise(midi[first:stop]))
        key = intervals, tuple(event.start - start for event in events)
        earlier = last.get(key)
        last[key] = bar, first
        if earlier is None or bar - earlier[0] > BARS_BACK or len(set(intervals)) == 1:
            continue
        place = chart.place(ground.time(ground.events[earlier[1]].start))
        of = {"bar": place.bar, "beat": float(place.beat)}
        apart = midi[first] - midi[earlier[1]]
        bits = KIND_BITS + choice_bits(BARS_BACK)
        if apart:
            yield Found(TRANSPOSED, first, stop, bits + INTERVAL_BITS, {"of": of, "interval": apart})
        else:
            yield Found(VARIED, first, stop, bits, {"of": of, "similarity": 1.0, "changed": 0})


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
    place = ground.tune.chart.place(ground.time(ground.events[earlier[0]].start))
    of = {"bar": place.bar, "beat": float(place.beat)}
    bits = KIND_BITS + choice_bits(BACK)
    apart = new[0] - old[0]
    if len(old) == len(new) and apart and all(b - a == apart for a, b in zip(old, new, strict=True)):
        facts = {"of": of, "interval": apart}
        return Found(TRANSPOSED, later[0], later[1], bits + INTERVAL_BITS, facts)
    matcher = SequenceMatcher(None, old, new, autojunk=False)
    if matcher.real_quick_ratio() < LIKE or matcher.quick_ratio() < LIKE or matcher.ratio() < LIKE:
        return None
    changed = len(new) - sum(block.size for block in matcher.get_matching_blocks())
    facts = {"of": of, "similarity": round(matcher.ratio(), 2), "changed": changed}
    return Found(VARIED, later[0], later[1], bits + changed * (NOTE_BITS + CHANGE_BITS), facts)
