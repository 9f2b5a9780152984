"""What the instrument gives, read from what is written at the notes: trills, harmonics, runs that ring
across the strings, figures around an open string.

Only written marks, strings and frets count; nothing is guessed about the hand.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from solowright.harmony.devices.found import KIND_BITS, LENGTH_BITS, NOTE_BITS, Found
from solowright.harmony.ground import Ground
from solowright.music.line import Note

TRILL, HARMONICS, RINGING, OPEN = "trill", "harmonics", "ringing-run", "open-string-figure"
MARK_BITS = 2.0  # the mark is written; only that it matters must be told
MARKED_NOTE_BITS = 0.5

TRILL_NOTES = 6  # alternations written out
SLOWEST_TRILL = Fraction(1, 3)  # quarters between two notes of a written-out trill; slower ones only rock
TRILL_STEP = 2  # semitones
RINGING_NOTES = 4
RINGING_STEP = 2  # semitones between neighbours: a scale, which no one fingers so without wanting it to ring
OPEN_STROKES = 3  # of the same open string, at every second or third note


def find(ground: Ground) -> Iterator[Found]:
    """Every device of technique, the longest at each place."""
    for first, stop in ground.phrases:
        yield from _trills(ground, first, stop)
        yield from _marked(ground, first, stop)
    for first, stop in ground.stretches:
        yield from _written_trills(ground, first, stop)
        yield from _ringing(ground, first, stop)
        yield from _around_open(ground, first, stop)


def _note(ground: Ground, index: int) -> Note:
    return ground.tune.line.notes[ground.events[index].notes[0]]


def _trills(ground: Ground, first: int, stop: int) -> Iterator[Found]:
    for index in range(first, stop):
        note = _note(ground, index)
        if note.trill:
            facts = {"note": note.pitch.name, "interval": note.trill}
            yield Found(TRILL, index, index + 1, MARK_BITS, facts)


def _written_trills(ground: Ground, first: int, stop: int) -> Iterator[Found]:
    midi = [event.midi for event in ground.events]
    start = first
    while start < stop - 1:
        end = start + 2
        while end < stop and midi[end] == midi[end - 2]:
            end += 1
        step = midi[start + 1] - midi[start]
        times = [ground.time(event.start) for event in ground.events[start:end]]
        quick = all(after - before <= SLOWEST_TRILL for before, after in pairwise(times))
        if quick and end - start >= TRILL_NOTES and 1 <= abs(step) <= TRILL_STEP:
            facts = {"note": ground.name(start), "interval": step}
            yield Found(TRILL, start, end, KIND_BITS + NOTE_BITS + LENGTH_BITS, facts)
        start = end - 1


def _marked(ground: Ground, first: int, stop: int) -> Iterator[Found]:
    """Notes marked as harmonics, in a row."""
    start = first
    while start < stop:
        end = start
        while end < stop and _note(ground, end).entry == "harmonic":
            end += 1
        if end > start:
            notes = sum(len(event.notes) for event in ground.events[start:end])
            struck = [(index, place) for index in range(start, end) for place in
                      reversed(ground.events[index].notes)]  # fmt: skip
            facts = {
                "notes": [ground.tune.line.notes[place].pitch.name for _, place in struck],
                "degrees": [_degree(ground, index, place) for index, place in struck],
                "over": list(dict.fromkeys(
                    colours.chord.symbol for index, _ in struck if (colours := ground.colours(index))
                )),
            }  # fmt: skip
            yield Found(HARMONICS, start, end, MARK_BITS + MARKED_NOTE_BITS * notes, facts)
        start = max(end, start + 1)


def _degree(ground: Ground, index: int, place: int) -> str | None:
    colours = ground.colours(index)
    return colours.names[ground.tune.line.notes[place].pitch.midi % 12] if colours else None


def _ringing(ground: Ground, first: int, stop: int) -> Iterator[Found]:
    """Neighbouring notes each on a string of its own, so that they ring into each other."""
    start = first
    while start < stop - 1:
        end = start + 1
        while end < stop and _rings_on(_note(ground, end - 1), _note(ground, end)):
            end += 1
        if end - start >= RINGING_NOTES:
            facts = {"strings": [_note(ground, index).string for index in range(start, end)]}
            yield Found(RINGING, start, end, MARK_BITS + MARKED_NOTE_BITS * (end - start), facts)
        start = max(end - 1, start + 1)


def _rings_on(note: Note, after: Note) -> bool:
    if note.string is None or after.string is None or note.string == after.string:
        return False
    close = 1 <= abs(after.pitch.midi - note.pitch.midi) <= RINGING_STEP
    return close or (note.let_ring and after.let_ring)


def _around_open(ground: Ground, first: int, stop: int) -> Iterator[Found]:
    """One open string struck at every second or third note, the others moving against it; the note
    before the first stroke, from which it may be pulled off, belongs to it."""
    for period in (2, 3):
        for start in range(first, stop):
            earlier = start - period
            if not _is_open(ground, start) or (earlier >= first and _same_open(ground, earlier, start)):
                continue
            last = start
            while last + period < stop and _same_open(ground, last, last + period):
                last += period
            strokes = (last - start) // period + 1
            begin = start if start == first or _is_open(ground, start - 1) else start - 1
            between = range(begin, min(stop, last + (period if begin == start else period - 1)))
            moving = [index for index in between if not _same_open(ground, start, index)]
            if strokes >= OPEN_STROKES and len(moving) == len(between) - strokes:
                pulled = [_note(ground, index).entry == "pull" for index in range(start, last + 1, period)]
                facts = {
                    "open": ground.name(start),
                    "strokes": strokes,
                    "against": [ground.name(index) for index in moving],
                    "pulled": all(pulled),
                }
                bits = MARK_BITS + MARKED_NOTE_BITS * len(between)
                yield Found(OPEN, begin, between.stop, bits, facts)


def _is_open(ground: Ground, index: int) -> bool:
    note = _note(ground, index)
    return note.fret == 0 and note.string is not None


def _same_open(ground: Ground, index: int, other: int) -> bool:
    return _is_open(ground, other) and _note(ground, index).string == _note(ground, other).string
