"""Notes struck together: double stops, and chords punched behind single notes.

Which intervals sound sweet, open or rough is common practice, no source; ``roughness`` measures it.
"""

from __future__ import annotations

from collections.abc import Iterator

from solowright.harmony.devices.found import NOTE_BITS, Found
from solowright.harmony.ground import Ground
from solowright.harmony.roughness import roughness

DOUBLE_STOP, PUNCH = "double-stop", "chord-punch"
TEXTURE_BITS = 1.0  # that several notes sound is plain to hear; only what they do must be told
INTERVAL_BITS = 2.0
SAME_BITS = 0.5  # the interval stays
VOICING_BITS = 3.0
LONGEST = 16  # double stops in a row

# Diatonic intervals by letters apart (octaves taken off, but for the tenth), and how they sound.
INTERVALS = ("unison", "second", "third", "fourth", "fifth", "sixth", "seventh", "octave")
TENTH = 9
SOUND = {
    "unison": "one voice", "second": "rough", "third": "sweet", "fourth": "open", "fifth": "open",
    "sixth": "sweet", "seventh": "rough", "octave": "open", "tenth": "sweet", "tritone": "rough",
}  # fmt: skip
TRITONE = 6  # semitones, whatever it is spelled as


def find(ground: Ground) -> Iterator[Found]:
    """Double stops in a row, and every chord that comes after single notes of the same phrase."""
    for first, stop in ground.phrases:
        start = first
        while start < stop:
            end = start
            while end < stop and len(ground.events[end].notes) == 2:
                end += 1
            for begin in range(start, end):
                for close in range(begin + 1, min(end, begin + LONGEST) + 1):
                    yield _double_stops(ground, begin, close)
            start = max(end, start + 1)
        singles = 0
        for index in range(first, stop):
            if len(ground.events[index].notes) > 2 and singles:
                yield _punch(ground, index)
            singles += ground.events[index].single


def _double_stops(ground: Ground, start: int, stop: int) -> Found:
    names: list[str] = []
    sounds: list[str] = []
    pairs: list[list[str]] = []
    degrees: list[list[str]] = []
    over: list[str | None] = []
    rough: list[float] = []
    bits = TEXTURE_BITS + INTERVAL_BITS
    for index in range(start, stop):
        high, low = (ground.tune.line.notes[place].pitch for place in ground.events[index].notes)
        letters = abs(high.height - low.height)
        tritone = (high.midi - low.midi) % 12 == TRITONE
        name = "tenth" if letters == TENTH else INTERVALS[letters % 7 or (7 if letters else 0)]
        name = "tritone" if tritone else name
        bits += NOTE_BITS + (0 if not names or names[-1] == name else INTERVAL_BITS - SAME_BITS)
        bits += SAME_BITS if names else 0
        names.append(name)
        sounds.append(SOUND[name])
        pairs.append([low.name, high.name])
        colours = ground.colours(index)
        degrees.append([colours.names[pitch.midi % 12] for pitch in (low, high)] if colours else [])
        over.append(colours.chord.symbol if colours else None)
        rough.append(round(roughness(low.midi, high.midi), 2))
    facts = {
        "intervals": names, "sounds": sounds, "pairs": pairs, "degrees": degrees, "over": over,
        "roughness": rough,
    }  # fmt: skip
    return Found(DOUBLE_STOP, start, stop, bits, facts)


def _punch(ground: Ground, index: int) -> Found:
    colours = ground.colours(index)
    pitches = sorted(ground.events[index].pitches)
    facts = {
        "chord": colours.chord.symbol if colours else "N.C.",
        "degrees": [colours.names[pitch % 12] for pitch in pitches] if colours else [],
        "notes": len(pitches),
    }
    return Found(PUNCH, index, index + 1, TEXTURE_BITS + VOICING_BITS + NOTE_BITS, facts)
