"""Sequence: a cell said again at once a constant interval away, and the beat where it lands.

Exact in semitones where the chords move along or the interval is wider than a shape is shifted by;
diatonic where it moves by steps of the scale in force.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from solowright.harmony.devices.found import KIND_BITS, NOTE_BITS, Facts, Found
from solowright.harmony.devices.moved_cells import Moved, find_moved
from solowright.harmony.devices.scale_run import FULL, scales_in_force
from solowright.harmony.devices.shape_shift import INTERVALS, follows_chords
from solowright.harmony.ground import Ground

KIND = "sequence"
EXACT_BITS = 4.6  # which of twelve intervals, up or down
DIATONIC_BITS = 2.5  # which of a few steps, up or down
TIMES_BITS = 1.0
SCALES = 3  # how many scales over a chord are tried


def find(ground: Ground) -> Iterator[Found]:
    """Every sequence, exact or along a scale."""
    for moved in find_moved(ground, [event.midi for event in ground.events]):
        if moved.size == 1:
            continue
        with_chords = follows_chords(ground, moved)
        if with_chords or abs(moved.interval) not in INTERVALS:
            yield _tell(ground, moved, EXACT_BITS, {"interval": moved.interval, "follows": with_chords})
    for name, tones in _scales(ground).items():
        steps = _steps(tones)
        said = [span.colours is None or span.colours.core <= tones for span in ground.spans]
        heights = [steps.get(event.midi) if said[event.span] else None for event in ground.events]
        for moved in find_moved(ground, heights):
            if moved.size == 1:
                continue
            facts = {
                "interval": "diatonic",
                "steps": moved.interval,
                "scale": _name_over(ground, moved.start, tones) or name,
                "broken": _broken(heights, moved),
            }
            yield _tell(ground, moved, DIATONIC_BITS, facts)


def _scales(ground: Ground) -> dict[str, frozenset[int]]:
    """Scales of seven tones in force anywhere in the tune: each set of tones once, by the name of the
    chord that brings it first."""
    scales: dict[frozenset[int], str] = {}
    for colours in dict.fromkeys(span.colours for span in ground.spans):
        sevens = [found for found in scales_in_force(colours, ground.tune.key) if len(found[1]) == FULL]
        for candidate, tones, _ in sevens[:SCALES]:
            scales.setdefault(tones, candidate.name)
    return {name: tones for tones, name in scales.items()}


def _name_over(ground: Ground, index: int, tones: frozenset[int]) -> str | None:
    """What the scale is called over the chord of an event."""
    scales = scales_in_force(ground.colours(index), ground.tune.key)
    return next((found.name for found, inside, _ in scales if inside == tones), None)


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
    place = ground.tune.chart.place(ground.time(ground.events[landing].start))
    told = {
        "cell": [ground.name(index) for index in cell],
        "times": moved.times,
        "lands_on": {"bar": place.bar, "beat": float(place.beat)},
    }
    bits = KIND_BITS + NOTE_BITS * notes + interval_bits + TIMES_BITS
    return Found(KIND, moved.start, moved.stop, bits, {**told, **facts})
