"""The line: the notes of the solo as written, with what the player fixed about playing them.

Rests are the gaps, ties and tuplets follow from exact durations, a chord is several notes with one
onset. Two notes with one onset and the same pitch are two strings in unison.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from itertools import groupby
from operator import attrgetter
from typing import Literal

from solowright.music.pitch import Pitch
from solowright.music.time import Time

Entry = Literal["pick", "hammer", "pull", "slide", "tap", "harmonic"]
ENTRIES: tuple[Entry, ...] = ("pick", "hammer", "pull", "slide", "tap", "harmonic")


@dataclass(frozen=True, slots=True)
class Bend:
    """One leg of a string bend, in order of time: up to ``semitones`` above the fretted pitch.

    ``kind``: ``bend`` goes there from where the string is, ``release`` comes back to there (0 is
    the fretted pitch), ``prebend`` is there before the note is struck.
    """

    semitones: Fraction
    kind: Literal["bend", "release", "prebend"] = "bend"


@dataclass(frozen=True, slots=True)
class Note:
    """A written note. ``onset`` and ``duration`` in quarters from the start of the tune.

    ``pitch`` sounds as given (a harmonic's sounding pitch; a bent note's fretted pitch).
    ``duration`` 0 is a grace note: it stands before the next note with the same onset.
    ``string`` (1 is the highest), ``fret`` (from the capo; a natural harmonic's node), ``finger``
    (0 open, 1 index to 4 little) and ``entry`` are None where the player left them free.
    ``slurred``: a written slur leads into this note from the one before.
    ``spelled`` is False where the source gives sound only (MIDI, tablature without a name), so that the
    spelling may follow the harmony; notes that sound and are written alike are equal either way.
    """

    pitch: Pitch
    onset: Time
    duration: Time
    string: int | None = None
    fret: int | None = None
    finger: int | None = None
    entry: Entry | None = None
    slurred: bool = False
    stroke: Literal["down", "up"] | None = None
    bends: tuple[Bend, ...] = ()
    slide_from: int = 0  # semitones below (negative) or above, for a slide in from nowhere
    slide_to: int = 0  # semitones below (negative) or above, for a slide off at the end
    vibrato: bool = False
    trill: int = 0  # semitones up to the other note of a trill
    dead: bool = False
    palm_mute: bool = False
    let_ring: bool = False
    accent: bool = False
    staccato: bool = False
    spelled: bool = field(default=True, compare=False)

    def __hash__(self) -> int:
        """Of what most often tells notes apart: much is kept by its notes, and exact times are slow."""
        onset, pitch = self.onset, self.pitch
        place = (onset.numerator, onset.denominator, self.string, self.fret, self.finger)
        return hash((pitch.octave, pitch.tone.letter, *place))

    def fingered(
        self, string: int, fret: int, finger: int | None, entry: Entry, slide_from: int, slide_to: int
    ) -> Note:
        """The note as it is played there. Quicker than ``replace``: every edit writes all notes anew."""
        return Note(
            self.pitch, self.onset, self.duration, string, fret, finger, entry, self.slurred, self.stroke,
            self.bends, slide_from, slide_to, self.vibrato, self.trill, self.dead, self.palm_mute,
            self.let_ring, self.accent, self.staccato, self.spelled,
        )  # fmt: skip

    @property
    def end(self) -> Time:
        return self.onset + self.duration

    @property
    def grace(self) -> bool:
        return not self.duration


@dataclass(frozen=True)
class Line:
    """Notes by onset; at one onset grace notes first, then the chord from its highest note down."""

    notes: tuple[Note, ...] = ()

    @cached_property
    def ends(self) -> tuple[Time, ...]:
        """Where each note ends."""
        return tuple(note.end for note in self.notes)

    def events(self) -> Iterator[tuple[Note, ...]]:
        """What is struck together: single grace notes, single notes, or the notes of a chord."""
        return iter(self._events)

    @cached_property
    def _events(self) -> tuple[tuple[Note, ...], ...]:
        events: list[tuple[Note, ...]] = []
        for _, group in groupby(self.notes, key=attrgetter("onset")):
            notes = tuple(group)
            chord = tuple([note for note in notes if not note.grace]) if len(notes) > 1 else ()
            events += [(note,) for note in notes if len(notes) == 1 or note.grace]
            if chord:
                events.append(chord)
        return tuple(events)


EMPTY_LINE = Line()


def make_line(notes: list[Note] | tuple[Note, ...]) -> Line:
    """Puts notes in the line's order: by onset, graces first in the order given, then from high to low."""

    def order(note: Note) -> tuple[Time, bool, int, int]:
        if note.grace:
            return (note.onset, False, 0, 0)
        return (note.onset, True, -note.pitch.midi, note.string or 0)

    return Line(tuple(sorted(notes, key=order)))
