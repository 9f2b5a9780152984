"""The chord under the line: for each chord of a stretch, a shape where the hand already is.

A shape holds the tones that say the chord (``music.voicing.held_tones``), one to a string on strings that
lie next to each other, within reach of the hand's position at that moment; the search that fingers the
line fingers the shape. A student strums it, and hears what the line is played against.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import permutations

from solowright.errors import InputError
from solowright.music.chord import Chord
from solowright.music.line import Note, make_line
from solowright.music.pitch import plain
from solowright.music.time import Time
from solowright.music.tune import Tune
from solowright.music.voicing import held_tones
from solowright.neck import Fretboard, Path, Player, finger, player_for

_SPREAD = 4  # frets from the lowest to the highest finger at most
_TRIED = 12  # candidates that are offered to the fingering, nearest first
_MUDDY = 48  # MIDI: below, a chord's tones blur (assumed)


@dataclass(frozen=True, slots=True)
class ChordShape:
    """A chord, the bar it begins in, and (string, fret, finger) of its tones from the high string down."""

    chord: Chord
    bar: int
    places: tuple[tuple[int, int, int], ...]


def find_shapes(
    tune: Tune, path: Path, start: Time, end: Time, player: Player | None = None
) -> tuple[ChordShape, ...]:
    """A shape for each different chord between two times, in order of appearance.

    A chord that no hand can hold near the line is left out.
    """
    player = player_for(tune, player)
    seen: set[str] = set()
    found = []
    for begin, stop, chord in tune.chart.spans:
        if chord is None or chord.symbol in seen or stop <= start or begin >= end:
            continue
        shape = _shape(tune, chord, _position(path, max(begin, start)), player)
        if shape:
            seen.add(chord.symbol)
            found.append(ChordShape(chord, tune.chart.place(max(begin, start)).bar, shape))
    return tuple(found)


def _position(path: Path, time: Time) -> int:
    """The fret of the index finger at a time, or where it next comes down."""
    after = [placed.position for placed in path.notes if placed.note.end > time and placed.position]
    before = [placed.position for placed in path.notes if placed.position]
    return (after or before[-1:] or [1])[0]


def _shape(
    tune: Tune, chord: Chord, position: int, player: Player
) -> tuple[tuple[int, int, int], ...] | None:
    board = Fretboard(tune.tuning, tune.capo, player.frets)
    candidates = sorted(_candidates(board, chord, position))
    for _, spots in candidates[:_TRIED]:
        fingers = _fingers(tune, board, spots, player)
        if fingers is not None:
            return tuple((string, fret, used) for (string, fret), used in zip(spots, fingers, strict=True))
    return None


_Spots = tuple[tuple[int, int], ...]


def _candidates(board: Fretboard, chord: Chord, position: int) -> Iterator[tuple[float, _Spots]]:
    """Every way of laying the chord's tones on neighbouring strings near a position, with its distance."""
    tones = held_tones(chord)
    count = len(tones)
    for first in range(1, len(board.tuning) - count + 2):
        strings = range(first, first + count)
        for order in permutations(tones):
            spots = tuple(
                (string, _near(board, string, tone, position))
                for string, tone in zip(strings, order, strict=True)
            )
            frets = [fret for _, fret in spots]
            if min(frets) < 1 or max(frets) > board.last or max(frets) - min(frets) > _SPREAD:
                continue
            pitches = [board.open[string - 1] + fret for string, fret in spots]
            if pitches != sorted(pitches, reverse=True) or pitches[-1] < _MUDDY:
                continue
            away = abs(min(frets) - position) + 0.5 * (max(frets) - min(frets))
            yield away + 0.3 * abs(first - 2), spots


def _near(board: Fretboard, string: int, tone: int, position: int) -> int:
    """The fret of a pitch class on a string that lies nearest to the hand."""
    lowest = (tone - board.open[string - 1]) % 12
    return min(range(lowest, board.last + 1, 12), key=lambda fret: abs(fret - position - 1), default=0)


def _fingers(tune: Tune, board: Fretboard, spots: _Spots, player: Player) -> tuple[int, ...] | None:
    """The fingers of a shape by the line's own search; None where no hand can hold it."""
    notes = [
        Note(plain(board.open[string - 1] + fret), Time(0), Time(1), string, fret) for string, fret in spots
    ]
    try:
        found = finger(replace(tune, line=make_line(notes)), player)
    except InputError:
        return None
    by_string = {placed.string: placed.finger for placed in found.paths[0].notes}
    return tuple(by_string[string] for string, _ in spots)
