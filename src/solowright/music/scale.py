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
    "major": ("ionian", "lydian", "bebop major", "major pentatonic", "lydian augmented"),
    "minor": ("dorian", "aeolian", "phrygian", "melodic minor", "bebop dorian", "minor pentatonic", "blues"),
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
    """Scales on the chord's root that hold all its tones, the usual choice first.

    Pentatonics and blues, which leave chord tones out, close the list.
    """
    return tuple(Scale(chord.root, _BY_NAME[name]) for name in _names_over(chord.family, chord.degrees))


@cache
def _names_over(family: Family, degrees: tuple[str, ...]) -> tuple[str, ...]:
    sounding = {degree_interval(degree).semitones % 12 for degree in degrees}
    names = []
    raised_fifth = family == "dominant" and "#5" in degrees
    for name in sorted(_FIRST[family], key=lambda name: not (raised_fifth and name == "whole tone")):
        held = {degree_interval(degree).semitones % 12 for degree in _BY_NAME[name].degrees}
        altered = {d for d in degrees if d[0] in "b#" and d not in ("b3", "b7")}
        if sounding <= held or (name in _PARTIAL and not altered):
            names.append(name)
    return tuple(names)
