"""Scales as a table of degrees, and which of them fit a chord.

Spelling follows the use: the altered and the half-whole diminished scale are spelled over their
dominant, with a natural 3.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from solowright.errors import InputError
from solowright.music.chord import Chord, Family
from solowright.music.pitch import Tone, degree_interval


@dataclass(frozen=True, slots=True)
class ScaleKind:
    """A scale without its root: its name and its degrees."""

    name: str
    degrees: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale on a root."""

    root: Tone
    kind: ScaleKind

    @property
    def name(self) -> str:
        """As it is said: ``D half-whole diminished``."""
        return f"{self.root.name} {self.kind.name}"

    @property
    def tones(self) -> tuple[Tone, ...]:
        """The spelled tones from the root up."""
        return tuple(self.root.up(degree_interval(degree)) for degree in self.kind.degrees)

    @property
    def pitch_classes(self) -> frozenset[int]:
        return frozenset(tone.pitch_class for tone in self.tones)


_TABLE = """
ionian               1 2 3 4 5 6 7
dorian               1 2 b3 4 5 6 b7
phrygian             1 b2 b3 4 5 b6 b7
lydian               1 2 3 #4 5 6 7
mixolydian           1 2 3 4 5 6 b7
aeolian              1 2 b3 4 5 b6 b7
locrian              1 b2 b3 4 b5 b6 b7
melodic minor        1 2 b3 4 5 6 7
dorian b2            1 b2 b3 4 5 6 b7
lydian augmented     1 2 3 #4 #5 6 7
lydian dominant      1 2 3 #4 5 6 b7
mixolydian b6        1 2 3 4 5 b6 b7
locrian natural 2    1 2 b3 4 b5 b6 b7
altered              1 b2 #2 3 b5 #5 b7
harmonic minor       1 2 b3 4 5 b6 7
locrian natural 6    1 b2 b3 4 b5 6 b7
ionian #5            1 2 3 4 #5 6 7
dorian #4            1 2 b3 #4 5 6 b7
phrygian dominant    1 b2 3 4 5 b6 b7
lydian #2            1 #2 3 #4 5 6 7
altered bb7          1 b2 b3 b4 b5 b6 bb7
major pentatonic     1 2 3 5 6
minor pentatonic     1 b3 4 5 b7
blues                1 b3 4 b5 5 b7
major blues          1 2 b3 3 5 6
whole tone           1 2 3 #4 #5 b7
half-whole diminished 1 b2 #2 3 #4 5 6 b7
whole-half diminished 1 2 b3 4 b5 b6 6 7
bebop dominant       1 2 3 4 5 6 b7 7
bebop major          1 2 3 4 5 #5 6 7
bebop dorian         1 2 b3 3 4 5 6 b7
bebop melodic minor  1 2 b3 4 5 #5 6 7
"""


def _row(text: str) -> ScaleKind:
    name, degrees = text.split(" 1 ", 1)
    return ScaleKind(name.strip(), ("1", *degrees.split()))


SCALES: tuple[ScaleKind, ...] = tuple(_row(text) for text in _TABLE.strip().splitlines())
_BY_NAME = {kind.name: kind for kind in SCALES}

# What a soloist reaches for first over each family of chords (common practice, no source), of which
# those that contradict the symbol's own tensions drop out.
_FIRST: dict[Family, tuple[str, ...]] = {
    "major": ("ionian", "lydian", "lydian #2", "bebop major", "major pentatonic"),
    "minor": (
        "dorian", "aeolian", "phrygian", "melodic minor", "harmonic minor", "bebop dorian",
        "minor pentatonic", "blues",
    ),
    "dominant": (
        "mixolydian", "lydian dominant", "half-whole diminished", "altered", "phrygian dominant",
        "mixolydian b6", "whole tone", "bebop dominant", "major pentatonic", "blues",
    ),
    "half-diminished": ("locrian", "locrian natural 2", "locrian natural 6"),
    "diminished": ("whole-half diminished", "altered bb7"),
    "augmented": ("lydian augmented", "ionian #5", "whole tone"),
    "suspended": ("mixolydian", "dorian", "phrygian", "dorian b2", "major pentatonic"),
    "minor-major": ("melodic minor", "harmonic minor", "bebop melodic minor"),
    "power": ("ionian", "mixolydian", "dorian", "aeolian", "minor pentatonic", "blues"),
}  # fmt: skip
# Five- and six-note scales leave chord tones out on purpose; they must not contradict the third.
_PARTIAL = {"major pentatonic", "minor pentatonic", "blues"}


def scale(root: Tone, name: str) -> Scale:
    """The scale ``name`` on ``root``. Raises InputError where there is no such scale."""
    if name not in _BY_NAME:
        raise InputError(f"there is no scale '{name}'; known: {', '.join(_BY_NAME)}")
    return Scale(root, _BY_NAME[name])


def scales_over(chord: Chord) -> tuple[Scale, ...]:
    """Scales on the chord's root that hold all its tones, a slash bass included, the usual one first.

    Pentatonics and blues, which leave chord tones out, close the list. A major triad over its own
    flat seventh is a dominant. Where a fifth that the symbol only implies shuts everything out
    (``C7#9b13``), the fifth gives way; where the bass does (``D/Eb``), the bass.
    """
    bass = (chord.bass.pitch_class - chord.root.pitch_class) % 12 if chord.bass else 0
    family: Family = "dominant" if bass == 10 and chord.family == "major" else chord.family
    names = _names_over(family, chord.degrees, bass)
    return tuple(Scale(chord.root, _BY_NAME[name]) for name in names)


@cache
def _names_over(family: Family, degrees: tuple[str, ...], bass: int) -> tuple[str, ...]:
    sounding = {degree_interval(degree).semitones % 12 for degree in degrees}
    order = _FIRST[family]
    if family == "dominant" and "#5" in degrees:
        order = ("whole tone", *(name for name in order if name != "whole tone"))
    altered = any(degree[0] in "b#" for degree in degrees if degree not in ("b3", "b7"))
    partial = tuple(name for name in order if name in _PARTIAL and not altered)
    for wanted in (sounding | {bass}, (sounding | {bass}) - {7}, sounding):
        full = tuple(name for name in order if name not in _PARTIAL and wanted <= _held(name))
        if full:
            return full + partial
    everywhere = tuple(kind.name for kind in SCALES if sounding <= _held(kind.name))
    return everywhere or partial


def _held(name: str) -> frozenset[int]:
    """Semitones above the root that a scale holds."""
    return frozenset(degree_interval(degree).semitones % 12 for degree in _BY_NAME[name].degrees)
