"""Scale run: four notes or more along one scale in one direction, foreign half steps slipped in.

Which scale is meant is decided by all that the phrase plays over the chord, then by the key, then by
what a soloist reaches for first (``music.scale``). It is named only where its telling notes sound over
the chord, or in it; else the run is told by its first and last note. A run may cross into another
chord where the scale says that chord too.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import pairwise

from solowright.harmony.colours import Colours
from solowright.harmony.devices.found import (
    KIND_BITS,
    LENGTH_BITS,
    NOTE_BITS,
    PASSING_BITS,
    WAY_BITS,
    Found,
    choice_bits,
    parts,
)
from solowright.harmony.ground import Ground
from solowright.music.pitch import Tone, degree_interval
from solowright.music.scale import Scale, scale, scales_over
from solowright.music.tune import Key

KIND = "scale-run"
SHORTEST = 4  # notes
LONGEST = 24  # notes
WIDEST = 3  # semitones: the augmented second of the harmonic minor scale
FULL = 7  # tones; smaller scales are those of ``pentatonic``…
SIX = ("whole tone",)  # …but for these
MOST_PASSING = 0.34  # share of a run's notes
# The degrees that tell a scale from its neighbours over the same chord: common practice, no source.
TELLING: dict[str, tuple[str, ...]] = {
    "ionian": ("4", "7"), "dorian": ("6", "b7"), "phrygian": ("b2",), "lydian": ("#4",),
    "mixolydian": ("b7",), "aeolian": ("b6", "b7"), "locrian": ("b2",), "melodic minor": ("6", "7"),
    "dorian b2": ("b2", "6"),
    "lydian augmented": ("#4", "#5"), "lydian dominant": ("#4",), "mixolydian b6": ("2", "b6"),
    "locrian natural 2": ("2",), "altered": ("#2", "#5"), "harmonic minor": ("b6", "7"),
    "locrian natural 6": ("b2", "6"), "ionian #5": ("4", "#5"), "dorian #4": ("#4",),
    "phrygian dominant": ("b2", "b6"), "lydian #2": ("#2",), "altered bb7": ("b2",),
    "whole tone": ("#4", "#5"), "half-whole diminished": ("b2", "6"), "whole-half diminished": ("2",),
    "bebop dominant": ("b7", "7"), "bebop major": ("5", "#5"), "bebop dorian": ("b3", "3"),
    "bebop melodic minor": ("5", "#5"),
}  # fmt: skip
KEY_SCALES = {False: ("ionian",), True: ("aeolian", "harmonic minor", "melodic minor")}


def find(ground: Ground) -> Iterator[Found]:
    """Every scale run."""
    midi = [event.midi for event in ground.events]
    for first, stop in ground.stretches:
        start = first
        while start < stop - 1:
            way = 1 if midi[start + 1] > midi[start] else -1
            end = start + 1
            while end < stop and 1 <= way * (midi[end] - midi[end - 1]) <= WIDEST:
                end += 1
            for begin, close in parts(start, min(end, start + LONGEST), SHORTEST):
                found = _name_run(ground, midi[begin:close], begin, close, way)
                if found is not None:
                    yield found
            start = max(end - 1, start + 1)


def _name_run(ground: Ground, pitches: list[int], start: int, stop: int, way: int) -> Found | None:
    """The run with its scale; None where no scale over the chord holds it."""
    place, others = _home(ground, start, stop)
    colours = ground.spans[place].colours
    around = played_over(ground, place, start, stop)
    best: tuple[tuple[int, ...], Scale, float, int] | None = None
    for rank, (candidate, tones, in_key) in enumerate(scales_in_force(colours, ground.tune.key)):
        if any(not core <= tones for core in others):
            continue
        passing = _passing(pitches, tones)
        if passing is None or passing > MOST_PASSING * len(pitches):
            continue
        if candidate.kind.name.startswith("bebop") and not _has_two_half_steps(pitches):
            continue
        bits = passing * PASSING_BITS + choice_bits(rank + 1)
        order = (passing, len(around - tones), int(not in_key), rank)
        if best is None or order < best[0]:
            best = order, candidate, bits, passing
    if best is None:
        return None
    bits = KIND_BITS + NOTE_BITS + WAY_BITS + LENGTH_BITS + best[2]
    last = ground.colours(stop - 1)
    facts = {
        "scale": best[1].name if tells_scale(best[1], colours, around) else None,
        "direction": "up" if way > 0 else "down",
        "passing": best[3],
        "first": ground.name(start),
        "last": ground.name(stop - 1),
        "degree": last.names[pitches[-1] % 12] if last else None,
        "over": last.chord.symbol if last else None,
    }
    return Found(KIND, start, stop, bits, facts)


def tells_scale(named: Scale, colours: Colours | None, heard: frozenset[int]) -> bool:
    """Whether the telling notes of a scale are among the pitch classes heard over the chord or in the
    chord itself."""
    return _telling(named) <= heard | (colours.chord.pitch_classes if colours else frozenset())


@cache
def _telling(named: Scale) -> frozenset[int]:
    root = named.root.pitch_class
    degrees = TELLING.get(named.kind.name, ())
    return frozenset((root + degree_interval(degree).semitones) % 12 for degree in degrees)


def _has_two_half_steps(pitches: list[int]) -> bool:
    """Whether the run plays the added note of a bebop scale between its neighbours: else it is only a
    note from outside."""
    moves = [abs(b - a) for a, b in pairwise(pitches)]
    return any(move == after == 1 for move, after in pairwise(moves))


def _home(ground: Ground, start: int, stop: int) -> tuple[int, list[frozenset[int]]]:
    """The span that holds most of the run, and what says each other chord it plays over.

    A last note alone over a new chord is where the run lands, and needs no leave.
    """
    counts: dict[int, int] = {}
    for index in range(start, stop):
        span = ground.events[index].span
        counts[span] = counts.get(span, 0) + 1
    home = max(counts, key=lambda span: counts[span])
    last = ground.events[stop - 1].span
    others = []
    for span, count in counts.items():
        colours = ground.spans[span].colours
        if span != home and not (span == last and count == 1) and colours is not None:
            others.append(colours.core)
    return home, others


def played_over(ground: Ground, span: int, start: int, stop: int) -> frozenset[int]:
    """Pitch classes that a figure and its neighbours in the phrase play over the span."""
    events = ground.events
    first, end = ground.phrase(start)
    low, high = start, stop
    while low > first and start - low < FULL and events[low - 1].span == span:
        low -= 1
    while high < end and high - stop < FULL and events[high].span == span:
        high += 1
    return frozenset(events[index].midi % 12 for index in range(low, high) if events[index].span == span)


def _passing(pitches: list[int], tones: frozenset[int]) -> int | None:
    """How many foreign notes the run has; None where it isn't a run along ``tones``.

    A foreign note must stand between two of the scale, a half step from each; the scale's own
    notes must follow each other without one left out.
    """
    inside = [pitch % 12 in tones for pitch in pitches]
    if not (inside[0] and inside[-1]):
        return None
    for index in range(1, len(pitches)):
        low, high = sorted(pitches[index - 1 : index + 1])
        if inside[index - 1] and inside[index]:
            if any(between % 12 in tones for between in range(low + 1, high)):
                return None
        elif high - low > 1 or not (inside[index - 1] or inside[index]):
            return None
    return len(pitches) - sum(inside)


@cache
def scales_in_force(colours: Colours | None, key: Key) -> tuple[tuple[Scale, frozenset[int], bool], ...]:
    """Scales over a chord, or without one those of the key; each with its tones and whether all of
    them are the key's."""
    if colours is None:
        scales = [scale(key.tonic, name) for name in KEY_SCALES[key.minor]]
    else:
        over = scales_over(colours.chord)
        scales = [found for found in over if len(found.kind.degrees) >= FULL or found.kind.name in SIX]
    of_key = _key_tones(key.tonic, key.minor)
    return tuple((found, found.pitch_classes, found.pitch_classes <= of_key) for found in scales)


@cache
def _key_tones(tonic: Tone, minor: bool) -> frozenset[int]:
    return scale(tonic, "aeolian" if minor else "ionian").pitch_classes
