"""How far the line states the chart by itself: would a listener hear the chord from the notes alone?

Model: third and seventh say a chord (guide tones: Coker 1991; Baker, *How to Play Bebop*; from memory);
the rest is how much of the sound is chord tones (those that the symbol writes above the seventh among
them), and whether the line comes in on one. A third or seventh that a chromatic run sets out from or
passes through says nothing. The weights are our judgement, no source; ``benchmarks/explaining.py``
prints what the same lines score against a wrong chart.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from solowright.harmony.colours import Colours
from solowright.harmony.ground import Ground

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
    guide tones heard and those missed (degrees), the share of sound that says the chord, whether the
    first note does, and which of those missed are passed through all the same."""

    bar: int
    chord: str
    score: float
    guide_tones: tuple[str, ...]
    missed: tuple[str, ...]
    chord_tones: float
    arrives: bool
    passed: tuple[str, ...]

    @property
    def stated(self) -> bool:
        """Whether the chord is heard from the notes alone."""
        return self.score >= STATED


def find_statements(ground: Ground) -> Iterator[Statement]:
    """A statement for every chord of every bar over which the line plays enough to judge."""
    starts = [int(start * ground.ticks) for start in ground.tune.chart.starts]
    groups: dict[tuple[int, int], list[int]] = defaultdict(list)
    for index, event in enumerate(ground.events):
        heard = max(event.start, ground.spans[event.span].start)  # a pushed note counts for its chord
        bar = min(bisect_right(starts, heard) - 1, len(starts) - 2)
        groups[bar, event.span].append(index)
    for (bar, span), places in groups.items():
        colours = ground.spans[span].colours
        if colours is not None and sum(len(ground.events[index].notes) for index in places) >= FEWEST:
            yield _judge(ground, colours, places, ground.tune.chart.number(bar))


def _judge(ground: Ground, colours: Colours, places: list[int], bar: int) -> Statement:
    events = [ground.events[index] for index in places]
    written = colours.core | colours.chord.pitch_classes
    heard = {pitch % 12 for index in places if not _is_passed(ground, index) for pitch in
             ground.events[index].pitches}  # fmt: skip
    third = _guide(colours, THIRDS) or _guide(colours, FOURTHS)
    seventh = _guide(colours, SEVENTHS)
    guides = [(colours.names[tone], tone in heard) for tone in (third, seventh) if tone is not None]
    played = {pitch % 12 for event in events for pitch in event.pitches}
    passed = {colours.names[tone] for tone in (third, seventh) if tone in played - heard}
    sound = inside = 0
    for event in events:
        length = min(event.end - event.start, MOST * ground.ticks)
        sound += length * len(event.pitches)
        inside += length * sum(pitch % 12 in written for pitch in event.pitches)
    arrives = any(pitch % 12 in written for pitch in events[0].pitches)
    share = inside / sound if sound else 0  # grace notes alone have no length
    score = THIRD * (third in heard) + SEVENTH * (seventh in heard)
    score += CHORD_TONES * share + ARRIVAL * arrives
    return Statement(
        bar, colours.chord.symbol, round(score, 2),
        tuple(name for name, said in guides if said), tuple(name for name, said in guides if not said),
        round(share, 2), arrives, tuple(name for name, said in guides if not said and name in passed),
    )  # fmt: skip


def _is_passed(ground: Ground, index: int) -> bool:
    """Whether a chromatic run goes through the event or sets out from it: only where it lands is said."""
    move = _step(ground, index)
    return move in (1, -1) and move in (_step(ground, index - 1), _step(ground, index + 1))


def _step(ground: Ground, index: int) -> int:
    """Semitones from an event to the next in the phrase, both single notes; 0 where there is none."""
    if not 0 <= index < len(ground.events) - 1 or ground.phrase(index)[1] == index + 1:
        return 0
    here, after = ground.events[index : index + 2]
    return after.midi - here.midi if here.single and after.single else 0


def _guide(colours: Colours, steps: tuple[int, ...]) -> int | None:
    """The pitch class of the chord's own tone at one of the steps."""
    return next(((colours.root + step) % 12 for step in steps if step in colours.stack), None)
