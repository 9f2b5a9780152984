"""What the changes of a section are: a vamp, a blues, or real changes, and how they move.

Common practice, no source: a cadence is a dominant going down a fifth, with the minor or
half-diminished chord a fifth above it where there is one.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from solowright.music.chart import Chart
from solowright.music.chord import Chord
from solowright.music.time import Time
from solowright.music.tune import Key

VAMP_CHORDS = 2  # a vamp turns on no more
VAMP_BARS = 4
CHAIN = 3  # chords that make a movement
Motion = Literal["fourths", "steps up", "steps down", "minor thirds up", "minor thirds down"]
MOTIONS: dict[int, Motion] = {
    5: "fourths", 1: "steps up", 2: "steps up", 10: "steps down", 11: "steps down", 3: "minor thirds up",
    9: "minor thirds down",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Cadence:
    """``chords`` ends with the goal; ``bar`` is the goal's, as players count."""

    chords: tuple[str, ...]
    goal: Chord
    bar: int


@dataclass(frozen=True, slots=True)
class Chain:
    """Three chords or more whose roots move the same way."""

    chords: tuple[str, ...]
    motion: Motion


@dataclass(frozen=True, slots=True)
class Character:
    """``chords`` are those of the section in order, ``bars`` how many it has; ``keys`` the places that
    a cadence makes home, as ``F#m``, in order."""

    kind: Literal["break", "no chords", "vamp", "blues", "changes"]
    bars: int
    chords: tuple[str, ...]
    cadences: tuple[Cadence, ...]
    chains: tuple[Chain, ...]
    keys: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Change:
    chord: Chord
    start: Time


def find_character(chart: Chart, key: Key, first: int, stop: int) -> Character:
    """The character of the bars with indices ``first`` up to ``stop``; the chord that follows counts
    as the goal of the last."""
    start, end = chart.starts[first], chart.starts[stop]
    inside = [
        _Change(chord, max(begin, start))
        for begin, close, chord in chart.spans
        if chord is not None and close > start and begin < end
    ]
    after = [_Change(chord, begin) for begin, _, chord in chart.spans if chord is not None and begin == end]
    changes = inside + after
    cadences = tuple(_cadences(chart, changes))
    goals = dict.fromkeys(_key_name(cadence.goal) for cadence in cadences)
    pauses = all(bar.pause for bar in chart.bars[first:stop])
    return Character(
        "break" if pauses else _kind(inside, key, stop - first),
        stop - first,
        tuple(change.chord.symbol for change in inside),
        cadences,
        tuple(_chains(changes)),
        tuple(goals),
    )


def _kind(changes: list[_Change], key: Key, bars: int) -> Literal["no chords", "vamp", "blues", "changes"]:
    chords = {change.chord for change in changes}
    if not chords:
        return "no chords"
    tonic = key.tonic.pitch_class
    roots = {(chord.root.pitch_class - tonic) % 12 for chord in chords}
    families = {chord.family for chord in chords}
    if len(chords) > 1 and roots <= {0, 5, 7} and 0 in roots and (families == {"dominant"}):
        return "blues"
    return "vamp" if len(chords) <= VAMP_CHORDS and bars >= VAMP_BARS else "changes"


def _up(low: Chord, high: Chord) -> int:
    return (high.root.pitch_class - low.root.pitch_class) % 12


def _cadences(chart: Chart, changes: list[_Change]) -> list[Cadence]:
    """Dominants that go down a fifth to a chord which is not itself a dominant on its way on."""
    found = []
    for place, (dominant, goal) in enumerate(pairwise(changes)):
        if dominant.chord.family != "dominant" or _up(dominant.chord, goal.chord) != 5:
            continue
        if goal.chord.family == "dominant" and place + 2 < len(changes):
            continue
        after = changes[place + 2].chord if place + 2 < len(changes) else None
        passing = after is not None and after.family == "dominant" and _up(goal.chord, after) == 5
        if passing and goal.chord.family == "minor":
            continue  # the two of a two-five, not a home
        chords = [dominant.chord.symbol, goal.chord.symbol]
        if place and _up(changes[place - 1].chord, dominant.chord) == 5:
            before = changes[place - 1].chord
            if before.family in ("minor", "half-diminished"):
                chords.insert(0, before.symbol)
        found.append(Cadence(tuple(chords), goal.chord, chart.place(goal.start).bar))
    return found


def _key_name(goal: Chord) -> str:
    return goal.root.name + ("m" if goal.family in ("minor", "minor-major", "half-diminished") else "")


def _chains(changes: list[_Change]) -> list[Chain]:
    """Longest runs of chords whose roots move the same way."""
    found: list[Chain] = []
    row: list[_Change] = []
    way: Motion | None = None
    for before, after in pairwise(changes):
        here = MOTIONS.get(_up(before.chord, after.chord))
        if here is None or here != way:
            found += _chain(row, way)
            row, way = ([before], here) if here else ([], None)
        if here:
            row.append(after)
    return found + _chain(row, way)


def _chain(row: list[_Change], way: Motion | None) -> list[Chain]:
    if way is None or len(row) < CHAIN:
        return []
    return [Chain(tuple(change.chord.symbol for change in row), way)]
