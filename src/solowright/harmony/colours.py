"""What a chord offers a soloist: the tones that say it, the tensions that colour it.

Pitch classes count from C = 0, semitones from the chord's root. Which tensions a family of chords
takes is common practice (no source); that the upper triads which follow from it are those of the
handbooks is checked in ``tests/outside``.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from solowright.music.chord import Chord, Family
from solowright.music.pitch import Interval, Tone, degree_interval
from solowright.music.scale import scales_over

# Tensions in semitones above the root. Missing are the notes that blur the chord when held: 11 over a
# major third, the major seventh over a dominant, ♭9 over a minor chord.
TENSIONS: dict[Family, tuple[int, ...]] = {
    "major": (2, 6, 9),
    "minor": (2, 5, 9),
    "dominant": (1, 2, 3, 6, 8, 9),
    "half-diminished": (2, 5, 8),
    "diminished": (2, 5, 8, 11),
    "augmented": (2, 6, 9),
    "suspended": (2, 9),
    "minor-major": (2, 5, 9),
    "power": (2, 9),
}
# The seventh that a symbol leaves out and a soloist may add; over a sixth chord it is the major one.
SEVENTH: dict[Family, int] = {"major": 11, "minor": 10, "suspended": 10, "augmented": 11}
# Tensions that a written degree shuts out, in semitones: who writes ♭9 wants no 9.
SHUT_OUT = {
    "9": (1, 3), "b9": (2,), "#9": (2,), "11": (6,),
    "13": (8,), "b13": (9,), "#5": (7, 9), "b5": (7,),
}  # fmt: skip
# How a root is spelled above a chord's root: letters up for each semitone. A chord with a major third
# on the tritone is the tritone substitute, spelled on ♭5: G♭ over C7 (common practice, no source).
_LETTERS = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)
_SUBSTITUTE = 4
_MINOR_KINDS = ("m", "dim")
_SIGNATURE = 7  # sharps or flats that a key is written with, at most


@dataclass(frozen=True, slots=True)
class Colours:
    """A chord's tones by what they do. ``core`` says the chord: 1, 3, 5, 7, the 6 of a sixth chord,
    the 4 or 2 of a suspended one, a bass tone. ``tensions`` colour it.

    ``stack`` holds the core in semitones above the root, rising, without a bass that isn't in it;
    ``names`` holds the degree of every pitch class, 0 to 11.
    """

    chord: Chord
    root: int
    core: frozenset[int]
    tensions: frozenset[int]
    stack: tuple[int, ...]
    names: tuple[str, ...]

    @property
    def inside(self) -> frozenset[int]:
        """All that a soloist may hold over the chord: core and tensions."""
        return self.core | self.tensions

    def filled_by(self, pitches: Iterable[int]) -> bool:
        """Whether notes struck together are the whole chord; its fifth may be left out."""
        fifth = {(self.root + 7) % 12}
        return self.core - fifth <= {pitch % 12 for pitch in pitches}


def root_above(chord: Chord, above: int, kind: str) -> Tone:
    """The root ``above`` semitones over the chord's, of a triad or seventh chord of ``kind``: a chord
    tone as the chord has it, else spelled from the chord unless that needs a signature no one writes."""
    root = chord.root
    for own in chord.tones:
        if (own.pitch_class - root.pitch_class) % 12 == above and abs(own.alter) < 2:
            return own
    minor = kind.startswith(_MINOR_KINDS)
    letters = _SUBSTITUTE if above == 6 and not minor else _LETTERS[above]
    relative = 3 if minor else 0  # a minor chord sits where its relative major does
    choices = [root.up(Interval(letters + shift, above)) for shift in (0, -1, 1)]
    return min(choices, key=lambda tone: abs(tone.fifths - relative) > _SIGNATURE)


@cache
def in_scale(colours: Colours, tones: frozenset[int]) -> bool:
    """Whether one of the scales over the chord holds all the tones: they may blur it (11 over a major
    third), but they don't leave it. The passing notes of bebop scales don't count."""
    scales = [found for found in scales_over(colours.chord) if not found.kind.name.startswith("bebop")]
    return any(tones <= found.pitch_classes for found in scales)


@cache
def colours_of(chord: Chord) -> Colours:
    """Sorts the twelve pitch classes by what they are over ``chord``."""
    root = chord.root.pitch_class
    inside = [degree for degree in chord.degrees if int(degree.lstrip("b#")) <= 7]
    stack = tuple(sorted({degree_interval(degree).semitones % 12 for degree in inside}))
    core = {(root + semitones) % 12 for semitones in stack}
    if chord.bass is not None:
        core.add(chord.bass.pitch_class)
    shut_out = {semitones for degree in chord.degrees for semitones in SHUT_OUT.get(degree, ())}
    above = set(TENSIONS[chord.family]) - shut_out
    sounding = {(pitch_class - root) % 12 for pitch_class in core}
    if chord.family in SEVENTH and not {10, 11} & sounding:
        above.add(11 if "6" in chord.degrees else SEVENTH[chord.family])
    tensions = {(root + semitones) % 12 for semitones in above} | {tone.pitch_class for tone in chord.tones}
    names = tuple(chord.degree_of(pitch_class) for pitch_class in range(12))
    return Colours(chord, root, frozenset(core), frozenset(tensions - core), stack, names)
