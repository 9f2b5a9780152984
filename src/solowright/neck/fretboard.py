"""One instrument's strings and frets: where a pitch can be played, and what a spot sounds.

Strings count from 1, the highest. Frets count from the capo, 0 is open. Pitches are MIDI numbers.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from solowright.music.pitch import plain
from solowright.music.tune import STANDARD_TUNING
from solowright.neck.geometry import SCALE_MM, fret_distance

HIGHEST_FRET = 36  # no neck goes beyond

# Natural harmonics: fret touched → semitones above the open string (partials 2 to 6 of a string,
# rounded to the keyboard; the node of partial k lies at L/k).
NODES = {12: 12, 7: 19, 19: 19, 5: 24, 24: 24, 4: 28, 9: 28, 16: 28, 3: 31}


@dataclass(frozen=True, slots=True)
class Spot:
    """A string (1 the highest) and a fret (0 open) on it."""

    string: int
    fret: int


@dataclass(frozen=True)
class Fretboard:
    """A neck as strung: ``tuning`` holds the open strings' MIDI numbers, highest first, before the
    capo; ``frets`` counts from the nut; ``scale`` is the string length in millimetres."""

    tuning: tuple[int, ...] = STANDARD_TUNING
    capo: int = 0
    frets: int = 22
    scale: float = SCALE_MM

    @cached_property
    def open(self) -> tuple[int, ...]:
        """MIDI numbers of the open strings with the capo on, highest string first."""
        return tuple(midi + self.capo for midi in self.tuning)

    @property
    def last(self) -> int:
        """The last fret, counted from the capo."""
        return self.frets - self.capo

    @cached_property
    def distances(self) -> tuple[float, ...]:
        """Millimetres from the capo to each fret, two octaves past the last for touched nodes."""
        start = fret_distance(self.capo, self.scale)
        return tuple(fret_distance(self.capo + fret, self.scale) - start for fret in range(self.last + 25))

    @cached_property
    def gaps(self) -> tuple[float, ...]:
        """Millimetres between each fret and the one below it; entry 0 repeats fret 1's."""
        return (self.distances[1], *(self.span(fret - 1, fret) for fret in range(1, len(self.distances))))

    def span(self, low: int, high: int) -> float:
        """Millimetres from one fret to another."""
        return self.distances[high] - self.distances[low]

    def sounds(self, spot: Spot) -> int:
        """The MIDI number of a stopped or open string."""
        return self.open[spot.string - 1] + spot.fret

    def spots(self, midi: int) -> tuple[Spot, ...]:
        """Every spot that sounds a pitch, the highest string first; none where it is out of range."""
        return tuple(
            Spot(string, midi - base)
            for string, base in enumerate(self.open, start=1)
            if 0 <= midi - base <= self.last
        )

    def harmonic_spots(self, midi: int) -> tuple[Spot, ...]:
        """Every string and touched fret whose natural harmonic sounds a pitch."""
        return tuple(
            Spot(string, node)
            for string, base in enumerate(self.open, start=1)
            for node, above in NODES.items()
            if base + above == midi and node <= self.last + 2
        )

    def out_of_range(self, midi: int) -> str | None:
        """What is wrong with a pitch that no string reaches, and what to do; None where one does."""
        if self.spots(midi):
            return None
        name, low, high = plain(midi).name, min(self.open), max(self.open)
        if midi < low:
            octaves = -(-(low - midi) // 12)
            return (f"{name} lies {steps(low - midi)} below the lowest string ({plain(low).name}); "
                    f"move the line up {octave_text(octaves)}, or retune")
        if midi > high + self.last:
            octaves = -(-(midi - high - self.last) // 12)
            return (f"{name} lies {steps(midi - high - self.last)} above the last fret "
                    f"(fret {self.last} sounds {plain(high + self.last).name}); move the line down "
                    f"{octave_text(octaves)}")
        return f"{name} lies in a gap between the strings of this tuning; change the note or the tuning"


def places_of(
    midi: int, tuning: tuple[int, ...] = STANDARD_TUNING, capo: int = 0, frets: int = 22
) -> tuple[Spot, ...]:
    """Every string and fret that sounds a pitch, the highest string first."""
    return Fretboard(tuning, capo, frets).spots(midi)


def steps(semitones: int) -> str:
    """``1 semitone``, ``3 semitones``."""
    return f"{semitones} semitone{'s' if semitones != 1 else ''}"


def octave_text(octaves: int) -> str:
    """``an octave``, ``2 octaves``."""
    return "an octave" if octaves == 1 else f"{octaves} octaves"
