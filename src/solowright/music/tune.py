"""The tune: a chart, a line over it, and how it goes (key, feel, tempo).

Written time becomes played seconds here and only here, so page, hand and sound agree.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import cached_property, lru_cache

from solowright.music.chart import Chart
from solowright.music.hand import AS_IT_IS, Hand
from solowright.music.line import EMPTY_LINE, Line
from solowright.music.pitch import Tone, tone_at
from solowright.music.time import STRAIGHT, Feel, TempoMap, Time, steady

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
    def _pairs(self) -> tuple[tuple[Time, Time], ...]:
        """For every bar the start that pairs are counted from, and where its last whole pair ends."""
        chart, pair = self.chart, 2 * self.feel.unit
        starts = [start - chart.lead_in(index) for index, start in enumerate(chart.starts[:-1])]
        ends = zip(starts, chart.starts[1:], strict=True)
        return tuple((start, (end - start) // pair * pair) for start, end in ends)

    def played(self, time: Time) -> Time:
        """Where a written time falls once the feel is applied, still in quarters."""
        if self.feel.straight or not self.chart.bars:
            return time
        start, paired = self._pairs[self.chart.bar_index(time)]
        offset = time - start
        if offset >= paired:
            return time  # the odd unit at the end of a bar of seven eighths has no partner
        return start + self.feel.played(offset)

    @cached_property
    def _seconds(self) -> dict[Time, float]:
        bars = tuple((bar.length, bar.meter.length) for bar in self.chart.bars[:1]) + tuple(self.chart.starts)
        return _seconds_found(self.feel, self.tempo, self.chart.pickup, bars)

    def seconds(self, time: Time) -> float:
        """Seconds from the tune's start at which a written time is played: feel and tempo applied."""
        found = self._seconds.get(time)
        if found is None:
            found = self._seconds[time] = self.tempo.seconds(self.played(time))
        return found

    def at_tempo(self, bpm: float) -> Tune:
        """The same tune with its first tempo made ``bpm`` and later ones in proportion."""
        return replace(self, tempo=self.tempo.scaled(bpm))


@lru_cache(maxsize=32)
def _seconds_found(feel: Feel, tempo: TempoMap, pickup: bool, bars: tuple[object, ...]) -> dict[Time, float]:
    """What was found of tunes with this feel, tempo and these bars: they share it, as an edit of notes
    leaves all three as they were."""
    return {}
