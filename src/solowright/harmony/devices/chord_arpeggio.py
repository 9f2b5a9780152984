"""Chord arpeggio: the chord's own tones one after the other, next neighbours in the stack.

It may turn round, leave a tone out, and go on above the seventh into the ninth. Three tones without
the root are left to ``upper_triad``, and so are four that open with no more than those three: a
soloist hears C E G C over Am7 as a C triad. With ♭9 in place of the root the chord is told as the
diminished seventh that it is, by ``superimposed``.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from solowright.harmony.colours import Colours
from solowright.harmony.devices.found import (
    KIND_BITS,
    LENGTH_BITS,
    SKIP_BITS,
    TURN_BITS,
    WAY_BITS,
    Found,
    choice_bits,
    tell_path,
)
from solowright.harmony.ground import Ground

KIND = "chord-arpeggio"
TRIAD_NOTES = 4  # at the start that make an upper triad of their own
NINTH_BITS = 1.0  # going on above the seventh
LONGEST = 16  # notes


def find(ground: Ground) -> Iterator[Found]:
    """Every arpeggio of the chord of the moment."""
    for first, stop in ground.stretches:
        for start in range(first, stop - 2):
            colours = ground.colours(start)
            if colours is not None and ground.events[start].midi % 12 in _rungs(colours):
                yield from _climb(ground, colours, start, min(stop, start + LONGEST))


@cache
def _rungs(colours: Colours) -> dict[int, tuple[int, int, int, int]]:
    """For each tone of the arpeggio, semitones to the next one up, the next but one, and so down."""
    stack = colours.stack
    if len(stack) < 3:
        return {}
    cycle = [semitones + 12 * octave for octave in (-1, 0, 1) for semitones in stack]
    size = len(stack)
    rungs = {}
    for place in range(size, 2 * size):
        here = cycle[place]
        steps = [cycle[place + move] - here for move in (1, 2, -1, -2)]
        rungs[(colours.root + here) % 12] = (steps[0], steps[1], steps[2], steps[3])
    return rungs


@cache
def _ninths(colours: Colours) -> tuple[tuple[int, int], ...]:
    """(pitch class of the seventh, semitones from it up to a ninth) for every ninth the chord takes."""
    seventh = colours.stack[-1] if colours.stack else 0
    if seventh not in (9, 10, 11):
        return ()
    ninths = (1, 2, 3) if "#9" in colours.chord.degrees else (1, 2)
    return tuple(
        ((colours.root + seventh) % 12, 12 + ninth - seventh)
        for ninth in ninths
        if (colours.root + ninth) % 12 in colours.tensions
    )


def _climb(ground: Ground, colours: Colours, start: int, stop: int) -> Iterator[Found]:
    rungs, ninths = _rungs(colours), _ninths(colours)
    span = ground.events[start].span
    bits = KIND_BITS + choice_bits(len(rungs)) + WAY_BITS
    way = 0
    ninth_below = 0  # semitones down to the seventh, while standing on the ninth
    held = {ground.events[start].midi % 12}
    flat_nine = (colours.root + 1) % 12
    for index in range(start + 1, stop):
        event, before = ground.events[index], ground.events[index - 1]
        move = event.midi - before.midi
        if event.span != span or not move:
            return
        cost = _step_bits(before.midi % 12, move, rungs, ninths, ninth_below)
        if cost is None:
            return
        on_ninth = event.midi % 12 not in rungs
        ninth_below = -move if on_ninth else 0
        bits += cost + (TURN_BITS if way and (move > 0) != (way > 0) else 0)
        way = move
        held.add(event.midi % 12)
        if _is_triad(ground, colours, start, index):
            return
        if flat_nine in held and colours.root not in held:
            continue
        if len(held) >= 4 or (len(held) == 3 and colours.root in held and not on_ninth):
            degrees = _degrees(ground, colours, start, index + 1)
            length = LENGTH_BITS if index - start > 2 else 0
            way_told = tell_path([event.midi for event in ground.events[start : index + 1]])
            facts = {"chord": colours.chord.symbol, "degrees": degrees, "path": way_told}
            yield Found(KIND, start, index + 1, bits + length, facts)


def _is_triad(ground: Ground, colours: Colours, start: int, index: int) -> bool:
    """Whether the first notes, up to ``index``, are only three tones, none of them the root."""
    heard = {event.midi % 12 for event in ground.events[start : index + 1]}
    return index + 1 - start == TRIAD_NOTES and len(heard) == 3 and colours.root not in heard


def _step_bits(
    here: int,
    move: int,
    rungs: dict[int, tuple[int, int, int, int]],
    ninths: tuple[tuple[int, int], ...],
    ninth_below: int,
) -> float | None:
    """What a step of the arpeggio costs; None where it is none."""
    if here not in rungs:
        return 0 if move == ninth_below else None
    if (here, move) in ninths:
        return NINTH_BITS
    up, up_two, down, down_two = rungs[here]
    if move in (up, down):
        return 0
    return SKIP_BITS if move in (up_two, down_two) else None


def _degrees(ground: Ground, colours: Colours, start: int, stop: int) -> list[str]:
    return [colours.names[ground.events[index].midi % 12] for index in range(start, stop)]
