"""Upper-structure triad: a triad other than the chord's own, and the tensions it gives.

Which triads sit well over a chord follows from its tensions (``colours``). A triad made of chord
tones alone counts where it leaves the root out: C over Am7 is ♭3 5 ♭7. Triads that leave the chord
are found too, but must be played out longer before they are believed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Literal

from solowright.harmony.colours import Colours, colours_of, in_scale
from solowright.harmony.devices.found import (
    KIND_BITS,
    LENGTH_BITS,
    SKIP_BITS,
    TURN_BITS,
    WAY_BITS,
    Found,
    choice_bits,
)
from solowright.harmony.ground import OFF, Ground
from solowright.music.chord import Chord
from solowright.music.pitch import Interval, Tone

KIND = "upper-triad"
LONGEST = 16  # notes
UNMARKED_BITS = 1.5  # it begins off the beat, where three thirds in a row are likelier chance

# Name behind the root, and semitones of third and fifth.
TRIADS: tuple[tuple[str, tuple[int, int, int]], ...] = (
    ("", (0, 4, 7)),
    ("m", (0, 3, 7)),
    ("dim", (0, 3, 6)),
    ("aug", (0, 4, 8)),
)
USUAL = ("", "m")  # the others count only where they are chord tones without the root

Character = Literal["rootless", "colour", "scale", "outside"]

# How the root of a triad is spelled above a chord's root: letters up for each semitone.
_LETTERS = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)


@dataclass(frozen=True, slots=True)
class UpperTriad:
    """A triad over a chord: ``name`` as ``Bb``, ``Gm``, ``C#dim``; ``degrees`` of its root, third and
    fifth against the chord. ``character``: ``rootless`` is the chord without its root, ``colour``
    brings tensions that the chord takes, ``scale`` stays in a scale over the chord but blurs it,
    ``outside`` leaves it."""

    name: str
    degrees: tuple[str, str, str]
    pitch_classes: tuple[int, int, int]
    character: Character

    @property
    def fits(self) -> bool:
        return self.character in ("rootless", "colour")


def upper_triads(chord: Chord) -> tuple[UpperTriad, ...]:
    """The triads that sit well over ``chord``, by the distance of their root above the chord's."""
    return tuple(triad for triad in _triads_over(colours_of(chord)).values() if triad.fits)


def find(ground: Ground) -> Iterator[Found]:
    """Every upper triad: three notes that form one, and as far as the line stays in it."""
    for first, stop in ground.stretches:
        for start in range(first, stop - 2):
            colours = ground.colours(start)
            if colours is not None:
                marked = start == first or ground.events[start].weight > OFF
                tones = frozenset(ground.events[index].midi % 12 for index in range(start, start + 3))
                triad = _triads_over(colours).get(tones) if len(tones) == 3 else None
                if triad is not None:
                    yield from _play(ground, colours, triad, (start, min(stop, start + LONGEST)), marked)


@cache
def _triads_over(colours: Colours) -> dict[frozenset[int], UpperTriad]:
    """All triads by their tones, but for those that say no more than the chord itself."""
    found = {}
    for above in range(12):
        for kind, shape in TRIADS:
            first, third, fifth = ((colours.root + above + semitones) % 12 for semitones in shape)
            tones = frozenset((first, third, fifth))
            own = tones <= colours.core and colours.root in tones
            if own or tones in found:
                continue
            if kind not in USUAL and not tones <= colours.core:
                continue
            character: Character = "outside"
            if tones <= colours.core:
                character = "rootless"
            elif tones <= colours.inside:
                character = "colour"
            elif in_scale(colours, tones):
                character = "scale"
            name = _root_name(colours.chord.root, above, kind) + kind
            degrees = (colours.names[first], colours.names[third], colours.names[fifth])
            found[tones] = UpperTriad(name, degrees, (first, third, fifth), character)
    return found


def _root_name(root: Tone, above: int, kind: str) -> str:
    """The triad's root, spelled from the chord unless that needs a signature no one writes."""
    if not above:
        return root.name
    relative = 3 if kind in ("m", "dim") else 0  # a minor triad sits where its relative major does
    choices = [root.up(Interval(_LETTERS[above] + shift, above)) for shift in (0, -1, 1)]
    return min(choices, key=lambda tone: abs(tone.fifths - relative) > 7).name


def _play(
    ground: Ground, colours: Colours, triad: UpperTriad, within: tuple[int, int], marked: bool
) -> Iterator[Found]:
    """The triad from its third note on; ``marked`` tells that it is set off by the beat or by opening
    a stretch."""
    events = ground.events
    start, stop = within
    span = events[start].span
    ladder = sorted(triad.pitch_classes)
    fitting = sum(other.fits for other in _triads_over(colours).values())
    bits = KIND_BITS + WAY_BITS + choice_bits(fitting if triad.fits else 12 * len(TRIADS))
    if events[start + 1].span != span:
        return
    if triad.character != "rootless" and not marked:
        bits += UNMARKED_BITS
    way = 0
    for index in range(start + 1, stop):
        move = events[index].midi - events[index - 1].midi
        if events[index].span != span or events[index].midi % 12 not in ladder or not move:
            return
        rungs = _rungs_between(events[index - 1].midi, events[index].midi, ladder)
        if rungs > 2:
            return
        bits += (SKIP_BITS if rungs == 2 else 0) + (TURN_BITS if way and (move > 0) != (way > 0) else 0)
        way = move
        if index - start == 2 and triad.character != "rootless" and not _is_set_off(ground, index + 1, stop):
            continue
        if index - start >= 2:
            facts = {
                "triad": triad.name, "over": colours.chord.symbol, "degrees": list(triad.degrees),
                "character": triad.character,
            }  # fmt: skip
            yield Found(KIND, start, index + 1, bits + (LENGTH_BITS if index - start > 2 else 0), facts)


def _is_set_off(ground: Ground, after: int, stop: int) -> bool:
    """Whether three notes are heard as a triad of their own: stacked in thirds, and what follows them
    begins on a beat, turns round with a leap, or doesn't follow at all."""
    events = ground.events
    if abs(events[after - 1].midi - events[after - 3].midi) > 8:
        return False
    if after == stop or events[after].weight > OFF:
        return True
    before = events[after - 1].midi - events[after - 2].midi
    move = events[after].midi - events[after - 1].midi
    return (before > 0) != (move > 0) and abs(move) > 2


def _rungs_between(low: int, high: int, ladder: list[int]) -> int:
    """How many tones of the triad on the way from one of its notes to another, the last included."""
    low, high = min(low, high), max(low, high)
    return sum(pitch % 12 in ladder for pitch in range(low + 1, high + 1))
