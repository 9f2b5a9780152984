"""Shape shift: one shape moved along by a constant interval, against the chord rather than with it.

A shape moved by minor thirds stays in one diminished scale, by whole tones in the whole-tone scale,
by half steps it slides in or out of the chord. Where the chords move along by the same interval it
is a sequence that follows the changes, told by ``sequence``.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from solowright.harmony.colours import Colours, root_above
from solowright.harmony.devices.found import KIND_BITS, NOTE_BITS, Found, choice_bits
from solowright.harmony.devices.moved_cells import Moved, find_moved
from solowright.harmony.devices.scale_run import scales_in_force
from solowright.harmony.devices.superimposed import name_chord
from solowright.harmony.devices.upper_triad import TRIADS
from solowright.harmony.ground import Ground
from solowright.music.line import Note

KIND = "shape-shift"
INTERVALS = (1, 2, 3, 4)  # semitones, up or down: what the hand moves along the neck
TIMES_BITS = 1.0
SYMMETRIC = ("half-whole diminished", "whole-half diminished", "whole tone")

# Shapes by their semitones above the root.
SHAPES: dict[frozenset[int], str] = {
    frozenset(shape): {"": "major", "m": "minor", "dim": "diminished", "aug": "augmented"}[name] + " triad"
    for name, shape in TRIADS
} | {
    frozenset((0, 6)): "tritone",
    frozenset((0, 4, 7, 10)): "dominant seventh",
    frozenset((0, 4, 7, 11)): "major seventh",
    frozenset((0, 3, 7, 10)): "minor seventh",
    frozenset((0, 3, 6, 10)): "half-diminished seventh",
    frozenset((0, 3, 6, 9)): "diminished seventh",
}

# The shapes that a chord symbol names, by what stands behind its root.
CHORD_KINDS = {
    "major triad": "", "minor triad": "m", "diminished triad": "dim", "augmented triad": "aug",
    "dominant seventh": "7", "major seventh": "maj7", "minor seventh": "m7",
    "half-diminished seventh": "m7b5", "diminished seventh": "dim7",
}  # fmt: skip


def find(ground: Ground) -> Iterator[Found]:
    """Every shape that is moved by one to four semitones while the chord is not."""
    for moved in find_moved(ground, [event.midi for event in ground.events], ground.phrases):
        if abs(moved.interval) in INTERVALS and not follows_chords(ground, moved):
            cell = ground.events[moved.start : moved.start + moved.size]
            shape = name_shape([pitch for event in cell for pitch in event.pitches])
            if moved.times == 2 and not shape[0].isalpha():
                continue  # heard twice, a shape without a name is only a likeness
            bits = KIND_BITS + NOTE_BITS * sum(len(event.notes) for event in cell)
            facts = {
                "interval": moved.interval,
                "times": moved.times,
                "shape": shape,
                "scale": _symmetric_scale(ground, moved),
                "whole": _whole(ground, moved),
                "roots": _roots(ground, moved) if shape.endswith(("triad", "seventh")) else [],
                "lands": _landing(ground, moved),
            }
            extra = choice_bits(2 * len(INTERVALS)) + TIMES_BITS
            yield Found(KIND, moved.start, moved.stop, bits + extra, facts)


def _roots(ground: Ground, moved: Moved) -> list[str]:
    """The root of every statement of a named chord, as it is spelled in the line, or where the line has
    no spelling, from the chart's chord."""
    roots = []
    for start in range(moved.start, moved.stop, moved.size):
        places = [place for event in ground.events[start : start + moved.size] for place in event.notes]
        notes = [ground.tune.line.notes[place] for place in places]
        tones = frozenset(note.pitch.midi % 12 for note in notes)
        for note in notes:
            shape = SHAPES.get(frozenset((tone - note.pitch.midi) % 12 for tone in tones))
            if shape:
                roots.append(_root_name(note, shape, ground.colours(start)))
                break
    return roots


def _root_name(note: Note, shape: str, colours: Colours | None) -> str:
    if note.spelled or colours is None:
        return note.pitch.tone.name
    above = (note.pitch.midi - colours.root) % 12
    return root_above(colours.chord, above, CHORD_KINDS.get(shape, "")).name


def _whole(ground: Ground, moved: Moved) -> str | None:
    """The seventh chord that all the statements form together, if they do: the diminished seventh that
    a tritone goes round in by minor thirds."""
    tones = frozenset(
        pitch % 12 for event in ground.events[moved.start : moved.stop] for pitch in event.pitches
    )
    colours = ground.colours(moved.start)
    named = name_chord(tones, colours) if colours else None
    if colours is None or named is None:
        return None
    return root_above(colours.chord, (named[0] - colours.root) % 12, named[1]).name + named[1]


def _landing(ground: Ground, moved: Moved) -> dict[str, object] | None:
    """The note after the last statement, where it says a new chord and lies a step from the place
    that the shape's first note would go to or came from."""
    landing = ground.landing(moved.stop)
    if landing != moved.stop:
        return None
    event, first = ground.events[landing], ground.events[moved.stop - moved.size]
    colours, move = ground.colours(landing), event.midi - first.midi
    changed = event.span != ground.events[moved.stop - 1].span
    if colours is None or event.midi % 12 not in colours.core or not changed or not 1 <= abs(move) <= 2:
        return None
    return {
        "note": ground.name(landing),
        "degree": colours.names[event.midi % 12],
        "over": colours.chord.symbol,
        "move": move,
        "voice": "first note" if first.single else "top note",
    }


def _symmetric_scale(ground: Ground, moved: Moved) -> str | None:
    """The symmetric scale over the chord that holds all of the notes, if one does."""
    events = ground.events[moved.start : moved.stop]
    tones = {pitch % 12 for event in events for pitch in event.pitches}
    for scale, inside, _ in scales_in_force(ground.colours(moved.start), ground.tune.key):
        if scale.kind.name in SYMMETRIC and tones <= inside:
            return scale.name
    return None


def name_shape(pitches: list[int]) -> str:
    """A chord's name where the notes form one, else their semitones from the first: ``0 +3 +5``."""
    for root in pitches:
        shape = SHAPES.get(frozenset((pitch - root) % 12 for pitch in pitches))
        if shape:
            return shape
    return " ".join(["0", *(f"{pitch - pitches[0]:+d}" for pitch in pitches[1:])])


def follows_chords(ground: Ground, moved: Moved) -> bool:
    """Whether the chord under every statement of the cell moves with it."""
    spans = [ground.events[moved.start + moved.size * count].span for count in range(moved.times)]
    if len(set(spans)) < moved.times:
        return False
    roots = [colours.root if (colours := ground.spans[span].colours) else None for span in spans]
    return all(
        low is not None and high is not None and (high - low - moved.interval) % 12 == 0
        for low, high in pairwise(roots)
    )
