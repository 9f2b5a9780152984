"""Played onsets to written ones: per beat a division, sixteenths or triplets, and swung eighths.

The beats are the chart's: a player to a click, or a file that a program exported. In a program's file
onsets are on some grid already and are only rounded. Of a played one, each beat is written in the
division that explains its onsets best: the squared distance to the grid in units of the player's
scatter, plus a cost for rare figures and divisions and for leaving the division of the beat before, the
least sum over all beats found exactly (Viterbi). The costs are ours, set so that ±20 ms at medium
tempo is read right (see the tests); no source. Two attacks that land on one place are a grace note and
its main note.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from statistics import median

from solowright.music.chart import Chart
from solowright.music.time import STRAIGHT, Feel, TempoMap, Time

# Divisions by the length of the beat in quarters: (the step, what it costs to be used).
_DIVISIONS: dict[Time, tuple[tuple[Time, float], ...]] = {
    Fraction(1): ((Fraction(1, 4), 0.0), (Fraction(1, 3), 0.5), (Fraction(1, 6), 4.0), (Fraction(1, 8), 5.0)),
    Fraction(3, 2): ((Fraction(1, 4), 0.0), (Fraction(3, 8), 4.0), (Fraction(1, 8), 5.0)),
    Fraction(1, 2): ((Fraction(1, 4), 0.0), (Fraction(1, 6), 2.0), (Fraction(1, 8), 5.0)),
}
# Figures that are rare in one division and have a common neighbour in another: the step, the places
# inside the beat that are struck (counted in steps), and what they cost.
_RARE: dict[tuple[Time, tuple[int, ...]], float] = {
    (Fraction(1, 4), (1,)): 1.0,
    (Fraction(1, 4), (1, 3)): 1.5,
    (Fraction(1, 3), (1,)): 1.0,
}
_SWITCH = 0.5  # cost of a beat in triplets after one in halves, or the other way
_COLLISION = 6.0  # cost of two attacks on one place
# Between swung eighths, the cost of a sixteenth, which a triplet mostly is, and of a lone last triplet,
# which a swung eighth mostly is.
_OFF_SWING = 2.0
_EXACT_SECONDS = 0.0015  # a file written by a program lies this close to some grid
_EXACT_SCATTER, _HUMAN_SCATTER = 0.004, 0.015  # seconds, standard deviation
_SWUNG = (0.56, 0.72)  # where in its beat the second of two swung eighths lies
_FEWEST_PAIRS = 4
_NEAR_BEAT = 0.12  # quarters around the beat within which an onset says nothing about divisions
_FINEST = 24  # places in a quarter on a program's grid


_Fit = tuple[float, list[Time]]  # what a division costs in a beat, and where it writes the onsets


@dataclass(frozen=True, slots=True)
class Beat:
    """One beat of the chart, at its straight time."""

    start: Time
    length: Time
    bar_start: Time  # of the full bar: before the first note in a pickup


@dataclass(frozen=True, slots=True)
class Written:
    """Where onsets are written, one for each given; ``graces`` lead to the next written onset."""

    onsets: tuple[Time, ...]
    graces: frozenset[int]
    steps: tuple[Time, ...]  # the division of the beat each stands in


def beats_of(chart: Chart) -> list[Beat]:
    """The chart's beats; in a pickup and other short bars only those that sound."""
    beats = []
    for index, bar in enumerate(chart.bars):
        length = bar.meter.pulse if bar.meter.pulse in _DIVISIONS else Fraction(1)
        lead_in = chart.lead_in(index)
        first = chart.starts[index] - lead_in
        position = lead_in // length * length
        while position < lead_in + bar.length:
            beats.append(Beat(first + position, length, first))
            position += length
    return beats


def is_exact(onsets: Sequence[Time], tempo: TempoMap) -> bool:
    """Whether a program wrote the onsets: all lie on twenty-fourths of a quarter, up to rounding."""
    return all(
        abs(float(onset - _finest(onset))) * 60 / tempo.at(onset) <= _EXACT_SECONDS for onset in onsets
    )


def _finest(time: Time) -> Time:
    return Fraction(round(time * _FINEST), _FINEST)


def find_feel(onsets: Sequence[Time], beats: Sequence[Beat]) -> Feel:
    """Swing where most beats with one attack inside have it late, near two thirds; else straight.

    Beats of a quarter only. The ratio is the one of whole or half numbers nearest to the median.
    """
    inside: dict[int, list[float]] = {}
    starts = [beat.start for beat in beats]
    for onset in onsets:
        index = bisect_right(starts, onset) - 1
        if index >= 0 and beats[index].length == 1:
            inside.setdefault(index, []).append(float(onset - beats[index].start))
    lone = [
        middle[0] for places in inside.values()
        if len(middle := [place for place in places if 0.1 < place < 0.9]) == 1 and 0.4 < middle[0] < 0.85
    ]  # fmt: skip
    swung = [place for place in lone if _SWUNG[0] <= place <= _SWUNG[1]]
    if len(swung) < _FEWEST_PAIRS or len(swung) < 0.75 * len(lone):
        return STRAIGHT
    place = median(swung)
    return Feel(Fraction(round(2 * place / (1 - place)), 2))


def quantise(onsets: Sequence[Time], chart: Chart, tempo: TempoMap, feel: Feel, exact: bool) -> Written:
    """Where each played onset (sorted) is written over the chart."""
    if exact and feel.straight:
        written = [_finest(onset) for onset in onsets]
        return Written(tuple(written), _graces(written), (Fraction(1, _FINEST),) * len(written))
    beats = beats_of(chart)
    scatter = _EXACT_SCATTER if exact else _HUMAN_SCATTER
    by_beat = [[onsets[index] for index in members] for members in _deal(onsets, beats)]
    choices = [
        [_fit(beat, step, cost, members, feel, scatter * tempo.at(beat.start) / 60)
         for step, cost in _DIVISIONS[beat.length]]
        for beat, members in zip(beats, by_beat, strict=True)
    ]  # fmt: skip
    written, steps = [], []
    for beat, fits, chosen in zip(beats, choices, _cheapest_path(beats, by_beat, choices), strict=True):
        written += fits[chosen][1]
        steps += [_DIVISIONS[beat.length][chosen][0]] * len(fits[chosen][1])
    return Written(tuple(written), _graces(written), tuple(steps))


def _graces(written: list[Time]) -> frozenset[int]:
    """Indices of onsets that fall together with the next."""
    return frozenset(index for index, (this, after) in enumerate(pairwise(written)) if this == after)


def fits_exactly(written: Sequence[Time], onsets: Sequence[Time], chart: Chart, feel: Feel) -> bool:
    """Whether written onsets, played with a feel, are the onsets of a program's file again."""
    for place, onset in zip(written, onsets, strict=True):
        start = chart.starts[index := chart.bar_index(place)] - chart.lead_in(index)
        if abs(start + feel.played(place - start) - onset) > Fraction(1, 4 * _FINEST):
            return False
    return True


def _deal(onsets: Sequence[Time], beats: Sequence[Beat]) -> list[list[int]]:
    """Indices of the onsets in each beat."""
    starts = [beat.start for beat in beats]
    dealt: list[list[int]] = [[] for _ in beats]
    for index, onset in enumerate(onsets):
        dealt[max(0, bisect_right(starts, onset) - 1)].append(index)
    return dealt


def _fit(
    beat: Beat, step: Time, cost: float, onsets: Sequence[Time], feel: Feel, scatter: float
) -> _Fit:
    """What a division costs for the onsets of a beat, and where it writes them.

    ``scatter`` is in quarters. The last place is the next beat: players come early too.
    """
    if not onsets:
        return 0.0, []
    places = [beat.start + k * step for k in range(int(beat.length / step) + 1)]
    played = [float(beat.bar_start + feel.played(place - beat.bar_start)) for place in places]
    written: list[Time] = []
    total = cost
    for onset in onsets:
        best = min(range(len(places)), key=lambda k: abs(played[k] - float(onset)))
        total += 0.5 * ((played[best] - float(onset)) / scatter) ** 2
        if written and written[-1] == places[best]:
            total += _COLLISION
        if not feel.straight and step.denominator % 3 and (places[best] - beat.start) % feel.unit:
            total += _OFF_SWING
        written.append(places[best])
    inside = {int((place - beat.start) / step) for place in written} - {0, len(places) - 1}
    if not feel.straight and step == Fraction(1, 3) and inside == {2}:
        total += _OFF_SWING
    return total + _RARE.get((step, tuple(sorted(inside))), 0.0), written


def _cheapest_path(
    beats: Sequence[Beat], by_beat: Sequence[Sequence[Time]], choices: Sequence[list[_Fit]]
) -> list[int]:
    """The division of each beat, at the least cost in all. Beats with nothing inside change no kind."""
    best, kinds = [0.0], [False]  # of each state so far: its cost, and whether it is of triplets
    trail: list[list[int]] = []
    for beat, onsets, fits in zip(beats, by_beat, choices, strict=True):
        end = beat.start + beat.length
        if not any(beat.start + _NEAR_BEAT < onset < end - _NEAR_BEAT for onset in onsets):
            trail.append([])
            continue
        ternary = [step.denominator % 3 == 0 for step, _ in _DIVISIONS[beat.length]]
        totals = [
            [cost + _SWITCH * (kind != before) for cost, before in zip(best, kinds, strict=True)]
            for kind in ternary
        ]
        trail.append([min(range(len(row)), key=row.__getitem__) for row in totals])
        best = [min(row) + cost for row, (cost, _) in zip(totals, fits, strict=True)]
        kinds = ternary
    path: list[int] = []
    state = min(range(len(best)), key=best.__getitem__)
    for origins in reversed(trail):
        path.append(state if origins else 0)
        state = origins[state] if origins else state
    return path[::-1]


def end_placer(chart: Chart, feel: Feel, exact: bool) -> Callable[[Time, Time], Time]:
    """A function from a played end and the step of its note's beat to the place where it is written."""
    beats = beats_of(chart)
    starts = [beat.start for beat in beats]

    def place(end: Time, step: Time) -> Time:
        if exact and feel.straight:
            return _finest(end)
        beat = beats[max(0, bisect_right(starts, end) - 1)]
        steps = {step, *(option for option, _ in _DIVISIONS[beat.length])}
        options = sorted({beat.start + k * s for s in steps for k in range(int(beat.length / s) + 1)})
        return min(options, key=lambda t: (abs(beat.bar_start + feel.played(t - beat.bar_start) - end), t))

    return place
