"""How far the line states the chart by itself: would a listener hear the chord from the notes alone?

Model: third and seventh say a chord (guide tones: Coker 1991; Baker, *How to Play Bebop*; from memory);
the rest is how much of the sound is chord tones, and whether the line comes in on one. The weights
are our judgement, no source; ``benchmarks/explaining.py`` prints what the same lines score against
a wrong chart.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from solowright.harmony.colours import Colours
from solowright.harmony.ground import Event, Ground

THIRD, SEVENTH, CHORD_TONES, ARRIVAL = 0.3, 0.3, 0.2, 0.2  # what each adds to the score
STATED = 0.7  # both guide tones, and half of the sound at least
FEWEST = 3  # notes that say anything
MOST = 1  # quarters that one long note counts for
THIRDS = (3, 4)  # semitones above the root…
FOURTHS = (5, 2)  # …and what stands for them in a suspended chord
SEVENTHS = (10, 11, 9)  # the diminished seventh and the sixth of a sixth chord among them


@dataclass(frozen=True, slots=True)
class Statement:
    """One chord in one bar: ``bar`` as players count it, ``score`` 0 to 1 and its evidence: the
    guide tones heard (degrees), the share of sound that says the chord, and whether the first note
    does."""

    bar: int
    chord: str
    score: float
    guide_tones: tuple[str, ...]
    chord_tones: float
    arrives: bool

    @property
    def stated(self) -> bool:
        """Whether the chord is heard from the notes alone."""
        return self.score >= STATED


def find_statements(ground: Ground) -> Iterator[Statement]:
    """A statement for every chord of every bar over which the line plays enough to judge."""
    starts = [int(start * ground.ticks) for start in ground.tune.chart.starts]
    groups: dict[tuple[int, int], list[Event]] = defaultdict(list)
    for event in ground.events:
        heard = max(event.start, ground.spans[event.span].start)  # a pushed note counts for its chord
        bar = min(bisect_right(starts, heard) - 1, len(starts) - 2)
        groups[bar, event.span].append(event)
    for (bar, span), events in groups.items():
        colours = ground.spans[span].colours
        if colours is not None and sum(len(event.notes) for event in events) >= FEWEST:
            yield _judge(colours, events, ground.tune.chart.number(bar), MOST * ground.ticks)


def _judge(colours: Colours, events: list[Event], bar: int, most: int) -> Statement:
    heard = {pitch % 12 for event in events for pitch in event.pitches}
    third = _guide(colours, heard, THIRDS) or _guide(colours, heard, FOURTHS)
    seventh = _guide(colours, heard, SEVENTHS)
    sound = inside = 0
    for event in events:
        length = min(event.end - event.start, most)
        sound += length * len(event.pitches)
        inside += length * sum(pitch % 12 in colours.core for pitch in event.pitches)
    arrives = any(pitch % 12 in colours.core for pitch in events[0].pitches)
    score = THIRD * bool(third) + SEVENTH * bool(seventh) + CHORD_TONES * inside / sound + ARRIVAL * arrives
    guides = tuple(name for name in (third, seventh) if name)
    share = round(inside / sound, 2)
    return Statement(bar, colours.chord.symbol, round(score, 2), guides, share, arrives)


def _guide(colours: Colours, heard: set[int], steps: tuple[int, ...]) -> str | None:
    """The chord's own tone at one of the steps, where it is heard."""
    for step in steps:
        pitch_class = (colours.root + step) % 12
        if step in colours.stack:
            return colours.names[pitch_class] if pitch_class in heard else None
    return None
