"""The tune: a chart, a line over it, and how it goes (key, feel, tempo).

Written time becomes played seconds here (by its ``clock``) and only here, so page, hand and sound agree.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import cached_property

from solowright.music.chart import Chart
from solowright.music.clock import Clock, find_clock
from solowright.music.hand import AS_IT_IS, Hand
from solowright.music.line import EMPTY_LINE, Line
from solowright.music.pitch import Tone, tone_at
from solowright.music.time import STRAIGHT, ZERO, Feel, TempoMap, Time, steady

STANDARD_TUNING = (64, 59, 55, 50, 45, 40)  # MIDI of the open strings, the highest first


@dataclass(frozen=True, slots=True)
class Key:
    """A key signature's name: its tonic and whether it is minor."""

    tonic: Tone
    minor: bool = False

    @property
    def fifths(self) -> int:
        """Sharps (positive) or flats (negative) in the signature."""
        return self.tonic.fifths - (3 if self.minor else 0)

    @property
    def name(self) -> str:
        return self.tonic.name + ("m" if self.minor else "")


def key_of_signature(fifths: int, minor: bool = False) -> Key:
    """The key with so many sharps (negative: flats) in its signature."""
    return Key(tone_at(fifths + (3 if minor else 0)), minor)


def signature_alters(fifths: int) -> tuple[int, ...]:
    """What a signature of so many sharps (negative: flats) does to the letters C to B, in half steps."""
    return tuple((fifths - Tone(letter).fifths + 5) // 7 for letter in range(7))


C_MAJOR = Key(Tone(0))
MODERATE = steady(120)


@dataclass(frozen=True)
class Tune:
    """A piece of work: what is written, before anything is worked out from it.

    ``tuning`` holds the MIDI numbers of the open strings from the highest string down, before
    ``capo`` (a fret) raises them. Frets in the line count from the capo. ``hand``: what its file says of
    the hand that plays it.
    """

    title: str
    chart: Chart
    line: Line = EMPTY_LINE
    composer: str = ""
    key: Key = C_MAJOR
    feel: Feel = STRAIGHT
    tempo: TempoMap = MODERATE
    tuning: tuple[int, ...] = STANDARD_TUNING
    capo: int = 0
    hand: Hand = AS_IT_IS

    @cached_property
    def _hash(self) -> int:
        told = (self.title, self.composer, self.key, self.feel, self.tempo, self.tuning, self.capo, self.hand)
        notes = [
            (note.pitch.midi, note.string, note.fret, note.finger, note.entry) for note in self.line.notes
        ]
        return hash((*told, self.chart, tuple(notes)))  # what else may differ is left to equality

    def __hash__(self) -> int:
        """Worked out once: much is kept by its tune."""
        return self._hash

    def __getstate__(self) -> dict[str, object]:
        """Without what it has worked out for itself: a hash is another one in another process."""
        return {field.name: getattr(self, field.name) for field in fields(self)}

    @cached_property
    def _clock(self) -> Clock:
        chart = self.chart
        if self.feel.straight or not chart.bars:  # then no bars are asked for
            return find_clock(self.tempo, self.feel, (), ZERO)
        return find_clock(self.tempo, self.feel, chart.starts, chart.lead_in(0))

    def played(self, time: Time) -> Time:
        """Where a written time falls once the feel is applied, still in quarters."""
        return self._clock.played(time)

    def seconds(self, time: Time) -> float:
        """Seconds from the tune's start at which a written time is played: feel and tempo applied."""
        return self._clock.seconds(time)

    def at_tempo(self, bpm: float) -> Tune:
        """The same tune with its first tempo made ``bpm`` and later ones in proportion."""
        return replace(self, tempo=self.tempo.scaled(bpm))
