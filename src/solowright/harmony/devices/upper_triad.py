"""Upper-structure triad: a triad other than the chord's own, and the tensions it gives.

Which triads sit well over a chord follows from its tensions (``colours``). A triad made of chord
tones alone counts where it leaves the root out: C over Am7 is ♭3 5 ♭7. Three notes are believed only
as a close triad in one direction that is set off from what stands around it; triads that leave the
chord must be played out longer.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Literal

from solowright.harmony.colours import Colours, colours_of, in_scale, root_above
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

KIND = "upper-triad"
LONGEST = 16  # notes
WIDEST = 8  # semitones from the first of three notes to the last
STEP = 2  # semitones
PLAYED_OUT = 5  # notes of a triad that blurs the chord or leaves it
UNMARKED_BITS = 2.0  # it begins off the beat, where three thirds in a row are likelier chance

# Name behind the root, and semitones of third and fifth.
TRIADS: tuple[tuple[str, tuple[int, int, int]], ...] = (
    ("", (0, 4, 7)),
    ("m", (0, 3, 7)),
    ("dim", (0, 3, 6)),
    ("aug", (0, 4, 8)),
)
USUAL = ("", "m")  # the others count only where they are chord tones without the root

Character = Literal["rootless", "colour", "scale", "outside"]


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
                opens = start == first
                marked = opens or ground.events[start].weight > OFF
                tones = frozenset(ground.events[index].midi % 12 for index in range(start, start + 3))
                triad = _triads_over(colours).get(tones) if len(tones) == 3 else None
                if triad is not None and not (start > first and _is_contradicted(ground, colours, start)):
                    yield from _play(ground, colours, triad, (start, stop), opens, marked)


def _is_contradicted(ground: Ground, colours: Colours, start: int) -> bool:
    """Whether the note just before is the major third of a minor chord, against which nothing in the
    chord is heard as its upper part."""
    before = ground.events[start - 1]
    minor = 3 in colours.stack and 4 not in colours.stack
    return minor and before.span == ground.events[start].span and (before.midi - colours.root) % 12 == 4


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
            name = root_above(colours.chord, above, kind).name + kind
            degrees = (colours.names[first], colours.names[third], colours.names[fifth])
            found[tones] = UpperTriad(name, degrees, (first, third, fifth), character)
    return found


def _play(
    ground: Ground, colours: Colours, triad: UpperTriad, within: tuple[int, int], opens: bool, marked: bool
) -> Iterator[Found]:
    """The triad from its third note on; ``opens`` tells that it opens a stretch, ``marked`` that it
    does or falls on the beat."""
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
    for index in range(start + 1, min(stop, start + LONGEST)):
        move = events[index].midi - events[index - 1].midi
        if events[index].span != span or events[index].midi % 12 not in ladder or not move:
            return
        rungs = _rungs_between(events[index - 1].midi, events[index].midi, ladder)
        if rungs > 2:
            return
        bits += (SKIP_BITS if rungs == 2 else 0) + (TURN_BITS if way and (move > 0) != (way > 0) else 0)
        way = move
        if index - start == 2 and not _is_set_off(
            ground, start, stop, opens, triad.character == "rootless"
        ):
            continue
        if index - start >= (2 if triad.fits else PLAYED_OUT - 1):
            facts = {
                "triad": triad.name, "over": colours.chord.symbol, "degrees": list(triad.degrees),
                "character": triad.character,
            }  # fmt: skip
            yield Found(KIND, start, index + 1, bits + (LENGTH_BITS if index - start > 2 else 0), facts)


def _is_set_off(ground: Ground, start: int, stop: int, opens: bool, rootless: bool) -> bool:
    """Whether three notes before ``stop`` are heard as a triad of their own: stacked in thirds in one
    direction, reached by step or out of silence, and left by step, by turning round or into silence.

    The chord without its root needs less: it may also be reached by a leap that turns.
    """
    midi = [event.midi for event in ground.events[start : min(stop, start + 4)]]
    first, second = midi[1] - midi[0], midi[2] - midi[1]
    if first * second < 0 or abs(first + second) > WIDEST:
        return False
    reached = opens
    if not opens:
        move = midi[0] - ground.events[start - 1].midi
        reached = abs(move) <= STEP or (rootless and move * first < 0)
    if len(midi) == 3:
        return reached
    move = midi[3] - midi[2]
    return reached and (abs(move) <= STEP or (move * second < 0 and (rootless or abs(move) < 5)))


def _rungs_between(low: int, high: int, ladder: list[int]) -> int:
    """How many tones of the triad on the way from one of its notes to another, the last included."""
    low, high = min(low, high), max(low, high)
    return sum(pitch % 12 in ladder for pitch in range(low + 1, high + 1))
