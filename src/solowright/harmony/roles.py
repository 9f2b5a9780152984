"""What each note is to the chord of the moment.

A note that says the chord is a chord tone wherever it stands. For the others the way they move
decides; where a non-chord tone is held, left by leap or ends a phrase it is heard as a tension if
the chord takes it. Rules are common practice, no source; the shares they give over a corpus stand
beside the published ones in ``benchmarks/explaining.py``.
"""

from __future__ import annotations

from typing import Literal

from solowright.harmony.colours import Colours
from solowright.harmony.devices.enclosure import enclosed
from solowright.harmony.devices.held_tone import kept_pitches
from solowright.harmony.ground import OFF, Event, Ground

Role = Literal[
    "chord-tone", "tension", "approach", "passing", "neighbour", "enclosure", "anticipation",
    "suspension", "blue-note", "pedal", "free",
]  # fmt: skip

STEP = 2  # semitones
HELD = 1  # quarters from which a note is heard for itself
RESOLVES = 3  # notes within which a chain of steps must reach the chord

# Semitones above the root of the notes that bend a plain chord blue.
NOT_BLUE = {"7", "b9", "#9", "#11", "b5", "#5", "b13"}  # degrees of chords that leave the blues
BLUE = {"dominant": (3, 6), "major": (3, 6, 10), "minor": (6,)}


def find_roles(ground: Ground) -> list[Role]:
    """The role of every note of the line, in its order."""
    roles: list[Role] = ["free"] * len(ground.tune.line.notes)
    enclosing = {index for target, size, _ in enclosed(ground) for index in range(target - size, target)}
    pedals = {(index, midi) for midi, strokes, _ in kept_pitches(ground) for index in strokes}
    stop_of = _phrase_stops(ground)
    for index, event in enumerate(ground.events):
        first, stop = stop_of[index]
        before = ground.events[index - 1] if index > first else None
        after = ground.events[index + 1 : min(stop, index + 1 + RESOLVES)]
        for place, midi in zip(event.notes, event.pitches, strict=True):
            role = _by_chord(ground, event, midi, before, after)
            if role is None and (index, midi) in pedals:
                role = "pedal"
            if role is None and _is_blue(ground, event, midi, before, after):
                role = "blue-note"
            if role is None and index in enclosing:
                role = "enclosure"
            roles[place] = role or _by_motion(ground, event, midi, before, after)
        for grace in event.graces:
            roles[grace] = _grace_role(ground, grace, event)
    return roles


def _phrase_stops(ground: Ground) -> list[tuple[int, int]]:
    return [(first, stop) for first, stop in ground.phrases for _ in range(first, stop)]


def _by_chord(
    ground: Ground, event: Event, midi: int, before: Event | None, after: tuple[Event, ...]
) -> Role | None:
    """The role that chord and change of chord give a note; None for a foreign one."""
    span, struck = ground.spans[event.span], ground.spans[event.struck]
    pitch_class = midi % 12
    if span.colours is None:
        return "free"
    if event.pushed:
        if not span.holds(pitch_class):
            return None
        return "chord-tone" if struck.holds(pitch_class) else "anticipation"
    if _is_suspended(ground, event, midi, before, after):
        return "suspension"
    return "chord-tone" if span.holds(pitch_class) else None


def _is_suspended(
    ground: Ground, event: Event, midi: int, before: Event | None, after: tuple[Event, ...]
) -> bool:
    """A note of the chord before that stays over the change, foreign to the new chord, and then
    moves by step into it: held over, or struck again at the change."""
    if not after or not 1 <= abs(after[0].midi - midi) <= STEP:
        return False
    span = ground.spans[event.span]
    if event.end > span.end and event.span + 1 < len(ground.spans):
        following = ground.spans[event.span + 1]
        return (
            span.holds(midi % 12)
            and following.colours is not None
            and not following.holds(midi % 12)
            and after[0].span == event.span + 1
            and following.holds(after[0].midi % 12)
        )
    if before is None or before.span == event.span or midi not in before.pitches:
        return False
    came_from = ground.spans[before.span]
    return (
        event.start == span.start
        and came_from.holds(midi % 12)
        and not span.holds(midi % 12)
        and span.holds(after[0].midi % 12)
    )


def _is_blue(
    ground: Ground, event: Event, midi: int, before: Event | None, after: tuple[Event, ...]
) -> bool:
    """♭3 or ♭5 over a plain chord that stays, not just passed through by half steps."""
    colours = ground.spans[event.span].colours
    if colours is None or NOT_BLUE & set(colours.chord.degrees):
        return False
    above = (midi - colours.root) % 12
    if above not in BLUE.get(colours.chord.family, ()) or _resolves_down_a_fifth(ground, event):
        return False
    move_in = _move(before, midi)
    move_out = -_move(after[0], midi) if after else 0
    if abs(move_in) == abs(move_out) == 1 and move_in == move_out:
        return False  # a chromatic passing note
    if above == 3:
        # To the third by half step where it isn't just passed (minor becomes major), down to the root, or
        # down from the fourth to stay.
        leapt = before is None or abs(move_in) > STEP
        rubs = move_out == 1 and (leapt or event.weight > OFF or _is_slurred(ground, after[0]))
        return rubs or (move_out == -3 and move_in != -1) or (not after and move_in == -2)
    if above == 6:
        return move_out == -3 or (abs(move_out) == 1 and abs(move_in) in (1, 3))
    return move_out in (-3, 2) or not after


def _is_slurred(ground: Ground, event: Event) -> bool:
    """Whether the line hammers, pulls or slides into an event."""
    notes = [ground.tune.line.notes[place] for place in event.notes]
    return any(note.slurred or note.entry in ("hammer", "pull", "slide") for note in notes)


def _resolves_down_a_fifth(ground: Ground, event: Event) -> bool:
    colours = ground.spans[event.span].colours
    if colours is None or event.span + 1 >= len(ground.spans):
        return False
    following = ground.spans[event.span + 1].colours
    if following is None or following.chord.family == "dominant":
        return False
    return (following.root - colours.root) % 12 == 5


def _move(other: Event | None, midi: int) -> int:
    """Semitones to ``midi`` from the nearest note of another event; 0 where there is none."""
    if other is None:
        return 0
    return min((midi - pitch for pitch in other.pitches), key=abs)


def _by_motion(
    ground: Ground, event: Event, midi: int, before: Event | None, after: tuple[Event, ...]
) -> Role:
    """The role of a foreign note by how it is reached and left."""
    colours = ground.spans[event.span].colours
    fits = colours is not None and midi % 12 in colours.tensions
    move_in = _move(before, midi)
    move_out = -_move(after[0], midi) if after else 0
    long = event.end - event.start >= HELD * ground.ticks
    if fits and (long or not 1 <= abs(move_out) <= STEP):
        return "tension"
    if after and 1 <= abs(move_out) <= STEP:
        if before is not None and move_in == -move_out:
            return "neighbour"
        if 1 <= abs(move_in) <= STEP and (move_in > 0) == (move_out > 0):
            return "passing"
        if _reaches_chord(ground, midi, after):
            return "approach"
    return "tension" if fits else "free"


def _reaches_chord(ground: Ground, midi: int, after: tuple[Event, ...]) -> bool:
    """Whether steps in one direction lead from a note into a chord tone, past one more at most."""
    way = 0
    for event in after:
        move = -_move(event, midi)
        if not 1 <= abs(move) <= STEP or (way and (move > 0) != (way > 0)):
            return False
        midi += move
        way = move
        if ground.spans[event.span].holds(midi % 12):
            return True
    return False


def _grace_role(ground: Ground, grace: int, event: Event) -> Role:
    """A grace note leads into the note it stands before."""
    colours: Colours | None = ground.spans[event.span].colours
    midi = ground.tune.line.notes[grace].pitch.midi
    if colours is None:
        return "free"
    if midi % 12 in colours.core:
        return "chord-tone"
    move = min((pitch - midi for pitch in event.pitches), key=abs)
    if (midi - colours.root) % 12 == 3 and move == 1 and 3 in BLUE.get(colours.chord.family, ()):
        return "blue-note"
    return "approach" if 1 <= abs(move) <= STEP else "free"
