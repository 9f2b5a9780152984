"""The line as a listener counts it: what is struck or slurred together, when, how long, how loud.

Grace notes lead into a strike and are none themselves. Levels are an estimate, in dB against one picked
note; what was measured belongs to ``sound`` and can be handed to ``work_out_arc``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import groupby
from math import log10

from solowright.music.line import Note
from solowright.music.time import Time
from solowright.music.tune import Tune
from solowright.neck import Path

# Assumed, dB: a slurred note excites the string less than a pick does (6 to 12 dB less through a clean
# amplifier); the ear gains about 2 dB an octave between 200 and 800 Hz at stage level (ISO 226, from
# memory). Notes at once add their powers.
SLURRED, MUTED, ACCENT, PER_OCTAVE = -6.0, -6.0, 3.0, 2.0
MIDDLE = 64  # the open first string
SLURS = ("hammer", "pull", "slide")


@dataclass(frozen=True, slots=True)
class Strike:
    """Notes that begin together. ``notes``: their places in the line; ``start``, ``end`` in quarters,
    ``second`` and ``stop`` in seconds as played; ``bar``: place in the chart; ``level`` in dB."""

    notes: tuple[int, ...]
    midis: tuple[int, ...]
    start: Time
    end: Time
    second: float
    stop: float
    bar: int
    load: float
    level: float

    @property
    def top(self) -> int:
        return max(self.midis)


def find_strikes(tune: Tune, path: Path) -> tuple[Strike, ...]:
    """The strikes of a line under one fingering, in order."""
    strikes = []
    seconds = cache(tune.seconds)
    counted = [(place, note) for place, note in enumerate(tune.line.notes) if not note.grace]
    for onset, group in groupby(counted, key=lambda item: item[1].onset):
        rows = list(group)
        notes = [note for _, note in rows]
        placed = [path.notes[place] for place, _ in rows]
        end = max(note.end for note in notes)
        midis = tuple(note.pitch.midi for note in notes)
        strikes.append(
            Strike(
                tuple(place for place, _ in rows), midis, onset, end,
                seconds(onset), seconds(end), tune.chart.bar_index(onset),
                max(row.load for row in placed),
                _level(notes, max(midis), all(row.entry in SLURS for row in placed)),
            )
        )  # fmt: skip
    return tuple(strikes)


def _level(notes: list[Note], top: int, slurred: bool) -> float:
    level = 10 * log10(len(notes)) + PER_OCTAVE * (top - MIDDLE) / 12
    if slurred:
        level += SLURRED
    if any(note.palm_mute or note.dead for note in notes):
        level += MUTED
    if any(note.accent for note in notes):
        level += ACCENT
    return level
