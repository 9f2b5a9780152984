"""Half-step link: between two chords a whole step apart, the arpeggio of the chord in the middle.

Am7 goes to Gm7, and the last notes before the change spell A♭m7: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from solowright.harmony.devices.found import KIND_BITS, WAY_BITS, Found
from solowright.harmony.ground import Ground
from solowright.music.pitch import Interval, Tone, plain
from solowright.music.spelling import plain_letter

KIND = "half-step-link"
WHOLE_STEP = (2, 10)  # semitones up from one root to the next, mod 12
LEADS = 2  # semitones from the link's last note into the next chord, at most
LATEST = 2  # quarters before the change within which the link must begin

# Chords that link: what stands behind the root, semitones above it, and bits to tell which.
LINKS: tuple[tuple[str, frozenset[int], float], ...] = (
    ("m7", frozenset((0, 3, 7, 10)), 1.0),
    ("7", frozenset((0, 4, 7, 10)), 1.5),
    ("m", frozenset((0, 3, 7)), 2.0),
    ("", frozenset((0, 4, 7)), 2.0),
    ("maj7", frozenset((0, 4, 7, 11)), 2.5),
    ("m7b5", frozenset((0, 3, 6, 10)), 2.5),
    ("dim7", frozenset((0, 3, 6, 9)), 2.5),
)


def find(ground: Ground) -> Iterator[Found]:
    """Every link: three notes or more right before a change of chord."""
    for first, stop in ground.stretches:
        for change in range(first + 3, stop):
            if ground.events[change].span == ground.events[change - 1].span + 1:
                yield from _links(ground, first, change)


def _links(ground: Ground, first: int, change: int) -> Iterator[Found]:
    colours, coming = ground.colours(change - 1), ground.colours(change)
    if colours is None or coming is None or (coming.root - colours.root) % 12 not in WHOLE_STEP:
        return
    if abs(ground.events[change].midi - ground.events[change - 1].midi) > LEADS:
        return
    up = (coming.root - colours.root) % 12 == 2
    root = (colours.root + (1 if up else -1)) % 12
    tone = _between(colours.chord.root, up)
    start = change
    span = ground.spans[ground.events[change - 1].span]
    earliest = span.end - LATEST * ground.ticks
    while start > first and ground.events[start - 1].span == ground.events[change - 1].span:
        start -= 1
        if ground.events[start].start < earliest:
            return
        heard = frozenset((event.midi - root) % 12 for event in ground.events[start:change])
        for name, link, choice in LINKS:
            if heard == link and len(heard) == change - start:
                facts = {
                    "from_chord": colours.chord.symbol,
                    "through": tone.name + name,
                    "to_chord": coming.chord.symbol,
                    "lands": ground.name(change),
                    "degree": coming.names[ground.events[change].midi % 12],
                }
                yield Found(KIND, start, change, KIND_BITS + WAY_BITS + choice, facts)


def _between(root: Tone, up: bool) -> Tone:
    """The root in the half step, spelled from the chord that is left: A goes by A♭ down to G."""
    tone = root.up(Interval(0, 1 if up else -1))
    if abs(tone.alter) < 2 and plain_letter(tone):
        return tone
    return plain(60 + tone.pitch_class, flats=not up).tone
