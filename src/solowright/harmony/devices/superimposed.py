"""Superimposed chord: the line spells a seventh chord other than the chart's, or several in a row.

"The line plays Bm7–E7 against A7." Over a dominant the diminished seventh on its third is the chord
with ♭9 in place of the root (common practice, no source). Four notes or more, each chord's own four
tones next to each other in its stack; several chords in a row must begin on beats.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import pairwise

from solowright.harmony.colours import Colours, in_scale, root_above
from solowright.harmony.devices.found import (
    KIND_BITS,
    LENGTH_BITS,
    TURN_BITS,
    WAY_BITS,
    Found,
    choice_bits,
    tell_path,
)
from solowright.harmony.ground import OFF, Ground

KIND = "superimposed-chord"
NOTES = 4  # that spell a chord
LONGEST = 12  # notes in one chord
INSIDE = 6  # seventh chords, about, that colour a chord without leaving it
WIDEST = 6  # semitones from one of its notes to the next
MARKED_BITS = 1.5  # it begins off the beat
INVERTED_BITS = 2.0  # its seventh next to its root, where thirds alone would say it plainer
NEAR = 2  # quarters from the change within which the line is early or late
NEXT_BITS = 3.0  # another chord right behind, by its step from the last

# Chords by the semitones of their tones above the root: what stands behind the root.
SEVENTHS: dict[frozenset[int], str] = {
    frozenset((0, 4, 7, 10)): "7",
    frozenset((0, 4, 7, 11)): "maj7",
    frozenset((0, 3, 7, 10)): "m7",
    frozenset((0, 3, 6, 10)): "m7b5",
    frozenset((0, 3, 6, 9)): "dim7",
}


def find(ground: Ground) -> Iterator[Found]:
    """Every superimposed chord, alone and with those that follow it at once."""
    for first, stop in ground.stretches:
        for start in range(first, stop - NOTES + 1):
            for end in _ends(ground, start, stop):
                yield _tell(ground, [(start, end)])
                row = [(start, end)]
                while following := _following(ground, row, stop):
                    row.append(following)
                    yield _tell(ground, row)


def _following(ground: Ground, row: list[tuple[int, int]], stop: int) -> tuple[int, int] | None:
    """The chord that comes right behind those in the row, over the same chord of the chart, from a
    beat on."""
    start, end = row[-1]
    events = ground.events
    if end >= stop or events[end].span != events[start].span:
        return None
    if OFF in (events[start].weight, events[end].weight):
        return None
    following = min(_ends(ground, end, stop), default=None)
    if following is None or _root(ground, start, end) == _root(ground, end, following):
        return None
    return end, following


def _ends(ground: Ground, start: int, stop: int) -> Iterator[int]:
    """Where a superimposed chord from ``start`` may end: four tones heard, and as long as no other is."""
    colours = ground.colours(start)
    if colours is None or start + NOTES > stop:
        return
    events = ground.events
    tones = frozenset(events[index].midi % 12 for index in range(start, start + NOTES))
    if len(tones) < NOTES or not _is_another(tones, colours):
        return
    first, _ = ground.phrase(start)
    opens = start == first + 1 or (start > first and events[start - 2].span != events[start].span)
    if opens and events[start - 1].span == events[start].span:
        # A bar that opens on the third and goes on to the seventh says the chart's dominant itself.
        third, seventh = (colours.root + 4) % 12, (colours.root + 10) % 12
        spelled = events[start - 1].midi % 12 == third and seventh in tones and third not in tones
        if spelled and colours.chord.family == "dominant":
            return
    for index in range(start + 1, min(stop, start + LONGEST)):
        move = abs(events[index].midi - events[index - 1].midi)
        if events[index].span != events[start].span or events[index].midi % 12 not in tones:
            return
        if not 1 <= move <= WIDEST:
            return
        if index - start >= NOTES - 1:
            yield index + 1


@cache
def _is_another(tones: frozenset[int], colours: Colours) -> bool:
    """Whether the tones spell a seventh chord that says more than the chart's with its ninth."""
    named = name_chord(tones, colours)
    if named is None or tones <= colours.core:
        return False
    third, seventh = (colours.root + 4) % 12, (colours.root + 10) % 12
    if colours.chord.family == "dominant" and {third, seventh} <= tones and named[1] != "dim7":
        # Its own third and seventh say the chart's chord, unless the other two both leave what is written
        # or make it the seventh chord on the tritone, the substitute that shares them.
        return _is_substitute(named, colours) or len(tones - colours.chord.pitch_classes) > 1
    return named[1] == "dim7" or not (colours.core - {colours.root}) <= tones


def _is_substitute(named: tuple[int, str] | None, colours: Colours) -> bool:
    """Whether a chord is the dominant seventh on the tritone of a dominant, sharing its third and seventh."""
    return colours.chord.family == "dominant" and named == ((colours.root + 6) % 12, "7")


def _is_chord_of(ground: Ground, start: int, stop: int, away: int) -> bool:
    """Whether the line's chord, close to the change, is the one that the chart has just after (1) or
    just before (-1)."""
    span = ground.spans[ground.events[start].span]
    first, last = ground.events[start], ground.events[stop - 1]
    if (span.end - last.end if away > 0 else first.start - span.start) > NEAR * ground.ticks:
        return False
    place = ground.events[start].span + away
    colours = ground.spans[place].colours if 0 <= place < len(ground.spans) else None
    tones = {event.midi % 12 for event in ground.events[start : start + NOTES]}
    return colours is not None and colours.core <= tones <= colours.chord.pitch_classes


@cache
def name_chord(tones: frozenset[int], colours: Colours) -> tuple[int, str] | None:
    """Root and kind of the chord; of a diminished seventh's four roots the third of a dominant, else
    the lowest above the chart's root."""
    order = [(colours.root + above) % 12 for above in (4, *range(12))]
    for root in order:
        kind = SEVENTHS.get(frozenset((tone - root) % 12 for tone in tones))
        if kind and root in tones:
            return root, kind
    return None


def _root(ground: Ground, start: int, end: int) -> tuple[int, str] | None:
    colours = ground.colours(start)
    if colours is None:
        return None
    return name_chord(frozenset(event.midi % 12 for event in ground.events[start:end]), colours)


def _tell(ground: Ground, row: list[tuple[int, int]]) -> Found:
    start, stop = row[0][0], row[-1][1]
    bits = KIND_BITS + WAY_BITS + (len(row) - 1) * NEXT_BITS
    bits += 0 if ground.events[start].weight > OFF else MARKED_BITS
    names: list[str] = []
    degrees: list[str] = []
    inside = held = True
    for begin, end in row:
        colours = ground.colours(begin)
        named = _root(ground, begin, end)
        assert colours is not None and named is not None, "only chords over a chord are told"
        midi = [event.midi for event in ground.events[begin:end]]
        turns = {"up": 0, "down": 0, "up and back": 1, "down and back": 1}.get(tell_path(midi), 2)
        turned = any(abs(after - before) <= 2 for before, after in pairwise(midi))
        bits += turns * TURN_BITS + (INVERTED_BITS if turned else 0)
        bits += LENGTH_BITS if end - begin > NOTES else 0
        names.append(root_above(colours.chord, (named[0] - colours.root) % 12, named[1]).name + named[1])
        degrees += [colours.names[pitch % 12] for pitch in dict.fromkeys(pitch % 12 for pitch in midi)]
        tones = frozenset(pitch % 12 for pitch in midi)
        inside = inside and tones <= colours.inside
        held = held and in_scale(colours, tones)
    over = ground.colours(start)
    assert over is not None, "only chords over a chord are told"
    bits += choice_bits(INSIDE if inside else 12 * len(SEVENTHS))
    facts = {
        "chords": names, "over": over.chord.symbol, "degrees": degrees,
        "character": "colour" if inside else "scale" if held else "outside",
        "substitute": len(row) == 1 and _is_substitute(_root(ground, start, stop), over),
        "early": len(row) == 1 and _is_chord_of(ground, start, stop, 1),
        "late": len(row) == 1 and _is_chord_of(ground, start, stop, -1),
    }  # fmt: skip
    return Found(KIND, start, stop, bits, facts)
