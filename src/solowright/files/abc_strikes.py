"""The bars of one ABC voice as they are gathered, and their notes once bars have their places.

Times are quarters; what a bar holds counts from its start.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from fractions import Fraction

from solowright.files.abc_tokens import Token
from solowright.music.line import Note
from solowright.music.time import ZERO, Meter, Time


@dataclass(slots=True)
class Strike:
    """What is struck at one time, or a rest (no notes). Notes have durations, no onsets yet."""

    length: Fraction
    notes: list[Note] = field(default_factory=list)
    tied: list[bool] = field(default_factory=list)  # into a later note of that pitch, per note
    written: list[tuple[int, int, int]] = field(default_factory=list)  # letter, octave, alter, per note
    slurred: bool = False
    grace: bool = False

    def scale(self, factor: Fraction) -> None:
        """Makes it ``factor`` times as long, as tuplets and broken rhythm do."""
        self.length *= factor
        self.notes = [replace(note, duration=note.duration * factor) for note in self.notes]


@dataclass(slots=True)
class VoiceBar:
    """A bar as written: its layers (more than one where ``&`` overlays voices) and its barlines.

    ``signs`` holds chord symbols, fields and marks for jumps (D.C. and its like) with the number of
    strikes before them in layer 0.
    ``closes`` counts how often ``:|`` sends the player back.
    """

    line: int
    column: int
    meter: Meter | None
    layers: list[list[Strike]] = field(default_factory=lambda: [[]])
    signs: list[tuple[int, Token]] = field(default_factory=list)
    opens: bool = False
    closes: int = 0
    ending: frozenset[int] = frozenset()
    double: bool = False

    @property
    def length(self) -> Time:
        """Quarters in the bar's first layer."""
        return sum((strike.length for strike in self.layers[0]), ZERO)

    def offset(self, index: int) -> Time:
        """Quarters from the bar's start to the strike at ``index`` of its first layer."""
        return sum((strike.length for strike in self.layers[0][:index]), ZERO)


@dataclass(frozen=True, slots=True)
class Piece:
    """A note or a tied part of one, at its onset in the tune."""

    note: Note
    tied: bool
    layer: int


def lay_out(bar: VoiceBar, start: Time) -> list[Piece]:
    """The notes of a bar that begins at ``start``."""
    pieces = []
    for layer, strikes in enumerate(bar.layers):
        onset = start
        for strike in strikes:
            for note, tied in zip(strike.notes, strike.tied, strict=True):
                slurred = note.slurred or strike.slurred
                pieces.append(Piece(replace(note, onset=onset, slurred=slurred), tied, layer))
            onset += strike.length
    return pieces


def cut_at(notes: Iterable[Note], end: Time) -> tuple[list[Note], list[Note]]:
    """The notes, none longer than to ``end``, and those that were.

    In a chord of uneven notes the first tells how long the chord lasts; another may ring on.
    """
    whole, cut = [], []
    for note in notes:
        if note.end > end:
            cut.append(note)
            note = replace(note, duration=end - note.onset)
        whole.append(note)
    return whole, cut


def join_ties(pieces: Iterable[Piece]) -> tuple[list[Note], list[Note]]:
    """The notes with ties joined, and those whose tie finds no second note (kept, untied)."""
    notes: list[Note] = []
    waiting: dict[tuple[int, int, Time], list[int]] = {}  # layer, pitch, end → indices of tied notes
    for piece in pieces:
        note = piece.note
        open_ties = waiting.get((piece.layer, note.pitch.midi, note.onset)) if not note.grace else None
        if open_ties:
            index = open_ties.pop(0)
            notes[index] = replace(notes[index], duration=notes[index].duration + note.duration)
        else:
            index = len(notes)
            notes.append(note)
        if piece.tied:
            waiting.setdefault((piece.layer, note.pitch.midi, note.end), []).append(index)
    return notes, [notes[index] for indices in waiting.values() for index in indices]
