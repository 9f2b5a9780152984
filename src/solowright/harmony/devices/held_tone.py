"""Pedal and common tone: one pitch kept while the chords change under it.

A common tone says every one of the chords; a pedal is foreign to one of them. It may be held, struck
again and again, or come back at every other note of a phrase.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise, product

from solowright.harmony.devices.found import KIND_BITS, LENGTH_BITS, NOTE_BITS, Found
from solowright.harmony.ground import Event, Ground

PEDAL, COMMON = "pedal", "common-tone"
STROKES = 4  # of one pitch, at every note or every other one
HELD = 1  # quarters that a held tone sounds on either side of the change
HELD_BITS = 3.0  # a single note held: what the chords do under it is told by the chart


def find(ground: Ground) -> Iterator[Found]:
    """Every pitch kept through a change of chord."""
    for midi, strokes, step in kept_pitches(ground):
        notes = sum(len(event.notes) for event in ground.events[strokes[0] : strokes[-1] + 1]) - len(strokes)
        bits = KIND_BITS + NOTE_BITS + LENGTH_BITS + NOTE_BITS * notes
        spans = list(dict.fromkeys(ground.events[index].span for index in strokes))
        if step == 1 or notes:
            yield _tell(ground, midi, strokes[0], strokes[-1] + 1, spans, bits)
    for first, stop in ground.phrases:
        for index, event in enumerate(ground.events[first:stop], first):
            if event.single and _is_held_over(ground, event):
                spans = [event.struck, event.struck + 1]
                yield _tell(ground, event.midi, index, index + 1, spans, HELD_BITS)


def kept_pitches(ground: Ground) -> Iterator[tuple[int, list[int], int]]:
    """(pitch, events that strike it, 1 or 2 for every or every other event) for each pitch that keeps
    coming back while the chord changes."""
    events = ground.events
    for first, stop in ground.phrases:
        for step, start in product((1, 2), range(first, stop)):
            for midi in events[start].pitches:
                if start >= first + step and midi in events[start - step].pitches:
                    continue
                strokes = _strokes(events, start, stop, step, midi)
                changes = len({events[index].span for index in strokes}) > 1
                if len(strokes) >= STROKES and changes and _close(ground, strokes):
                    yield midi, strokes, step


def _strokes(events: tuple[Event, ...], start: int, stop: int, step: int, midi: int) -> list[int]:
    strokes = [start]
    while strokes[-1] + step < stop and midi in events[strokes[-1] + step].pitches:
        strokes.append(strokes[-1] + step)
    return strokes


def _close(ground: Ground, strokes: list[int]) -> bool:
    """Whether the strokes follow each other within a bar of four."""
    starts = [ground.events[index].start for index in strokes]
    return all(b - a <= 4 * ground.ticks for a, b in pairwise(starts))


def _is_held_over(ground: Ground, event: Event) -> bool:
    span = ground.spans[event.struck]
    if event.struck + 1 >= len(ground.spans) or event.end <= span.end:
        return False
    enough = HELD * ground.ticks
    after = ground.spans[event.struck + 1]
    says_both = span.holds(event.midi % 12) and after.holds(event.midi % 12)
    return says_both and span.end - event.start >= enough and event.end - span.end >= enough


def _tell(ground: Ground, midi: int, start: int, stop: int, spans: list[int], bits: float) -> Found:
    common = all(ground.spans[span].holds(midi % 12) for span in spans)
    colours = [found for span in spans if (found := ground.spans[span].colours)]
    place = next(
        place
        for event in ground.events[start:stop]
        for place, pitch in zip(event.notes, event.pitches, strict=True)
        if pitch == midi
    )
    note = ground.tune.line.notes[place]
    facts = {
        "pitch": note.pitch.name,
        "open": note.fret == 0 and note.string is not None,
        "chords": [found.chord.symbol for found in colours],
        "degrees": [found.names[midi % 12] for found in colours],
    }
    return Found(COMMON if common else PEDAL, start, stop, bits, facts)
