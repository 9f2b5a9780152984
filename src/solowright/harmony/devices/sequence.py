"""Sequence: a cell said again at once a constant interval away, and the beat where it lands.

Exact in semitones where the chords move along or the interval is wider than a shape is shifted by;
diatonic where it moves by steps of the scale in force.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from solowright.harmony.devices.found import KIND_BITS, NOTE_BITS, Facts, Found
from solowright.harmony.devices.moved_cells import Moved, find_moved
from solowright.harmony.devices.scale_run import FULL, played_over, scales_in_force, tells_scale
from solowright.harmony.devices.shape_shift import INTERVALS, follows_chords
from solowright.harmony.ground import Ground

KIND = "sequence"
EXACT_BITS = 4.6  # which of twelve intervals, up or down
DIATONIC_BITS = 2.5  # which of a few steps, up or down
TIMES_BITS = 1.0
SCALES = 3  # how many scales over a chord are tried


def find(ground: Ground) -> Iterator[Found]:
    """Every sequence, exact or along a scale."""
    for moved in find_moved(ground, [event.midi for event in ground.events], ground.phrases):
        if moved.size == 1:
            continue
        with_chords = follows_chords(ground, moved)
        if with_chords or abs(moved.interval) not in INTERVALS:
            yield _tell(ground, moved, EXACT_BITS, {"interval": moved.interval, "follows": with_chords})
    for phrase in ground.phrases:
        for tones in _scales(ground, phrase):
            yield from _along(ground, phrase, tones)


def _along(ground: Ground, phrase: tuple[int, int], tones: frozenset[int]) -> Iterator[Found]:
    """The sequences in a phrase that move by steps of a scale, over chords that lie in it."""
    first, stop = phrase
    steps, events = _steps(tones), ground.events[first:stop]
    said = {
        span: (colours := ground.spans[span].colours) is None or colours.core <= tones
        for span in {event.span for event in events}
    }
    heights: list[int | None] = [None] * first
    heights += [steps.get(event.midi) if said[event.span] else None for event in events]
    for moved in find_moved(ground, heights, (phrase,)):
        if moved.size > 1:
            facts = {
                "interval": "diatonic",
                "steps": moved.interval,
                "scale": _name_over(ground, moved, tones),
                "broken": _broken(heights, moved),
            }
            yield _tell(ground, moved, DIATONIC_BITS, facts)


def _scales(ground: Ground, phrase: tuple[int, int]) -> list[frozenset[int]]:
    """The tones of scales of seven in force over the chords of a phrase, each set once."""
    scales: dict[frozenset[int], None] = {}
    for colours in dict.fromkeys(ground.colours(index) for index in range(*phrase)):
        sevens = [tones for _, tones, _ in scales_in_force(colours, ground.tune.key) if len(tones) == FULL]
        scales |= dict.fromkeys(sevens[:SCALES])
    return list(scales)


def _name_over(ground: Ground, moved: Moved, tones: frozenset[int]) -> str | None:
    """What the scale is called over the chord that the sequence begins on, where that is told."""
    colours = ground.colours(moved.start)
    for candidate, inside, _ in scales_in_force(colours, ground.tune.key):
        if inside == tones:
            heard = played_over(ground, ground.events[moved.start].span, moved.start, moved.stop)
            return candidate.name if tells_scale(candidate, colours, heard) else None
    return None


def _broken(heights: list[int | None], moved: Moved) -> int:
    """Scale steps between the two notes of a cell of two, as in broken thirds (2); else 0."""
    first, second = heights[moved.start], heights[moved.start + 1]
    if moved.size != 2 or first is None or second is None:
        return 0
    return abs(second - first)


@cache
def _steps(tones: frozenset[int]) -> dict[int, int]:
    """The place of every MIDI note of a scale, counted along it."""
    inside = [midi for midi in range(128) if midi % 12 in tones]
    return {midi: place for place, midi in enumerate(inside)}


def _tell(ground: Ground, moved: Moved, interval_bits: float, facts: Facts) -> Found:
    cell = range(moved.start, moved.start + moved.size)
    notes = sum(len(ground.events[index].notes) for index in cell)
    landing = ground.landing(moved.stop)
    colours = ground.colours(landing)
    told = {
        "cell": [ground.name(index) for index in cell],
        "times": moved.times,
        "lands_on": landing_place(ground, moved.stop),
        "note": ground.name(landing),
        "degree": colours.names[ground.events[landing].midi % 12] if colours else None,
        "over": colours.chord.symbol if colours else None,
    }
    bits = KIND_BITS + NOTE_BITS * notes + interval_bits + TIMES_BITS
    return Found(KIND, moved.start, moved.stop, bits, {**told, **facts})


def landing_place(ground: Ground, stop: int) -> dict[str, object]:
    """Bar and beat of the event that a figure up to ``stop`` lands on."""
    place = ground.tune.chart.place(ground.time(ground.events[ground.landing(stop)].start))
    return {"bar": place.bar, "beat": float(place.beat)}
