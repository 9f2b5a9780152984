"""Where systems begin: four bars a line, fewer where they are dense, sections at the start of one.

A line's need follows verovio's spacing: a symbol's room grows with its duration to the power 0.6,
and the whole line is stretched or squeezed alike. The squeeze ends where two neighbours would
touch. Units: staff spaces.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from solowright.music.line import Note
from solowright.music.notation import Symbol
from solowright.page.mei import Score, beats
from solowright.page.over import chord_mark

_POWER = 0.6
_MOST = 4  # bars a line
_START = 9.0  # clef and room before the first note, without signatures
_BAR = 2.6  # room around a barline


@dataclass(frozen=True, slots=True)
class _Need:
    """One bar: its share of a line at natural size, the least stretch it bears, and fixed room."""

    natural: float
    stretch: float
    fixed: float


def find_breaks(score: Score, width: float) -> tuple[int, ...]:
    """Indices of the bars that begin a system; ``width`` of a system in staff spaces."""
    needs = [_need(score, bar) for bar in range(len(score.bars))]
    sections = {index for index, _ in score.tune.chart.section_starts}
    start = _START + 1.0 * abs(score.tune.key.fifths)
    count = len(needs)
    best: list[tuple[float, int]] = [(0.0, 0)]
    for end in range(1, count + 1):
        options = []
        for first in range(end - 1, max(-1, end - 2 - _MOST), -1):
            cost = _cost(score, needs[first:end], first, end, sections, width - start)
            if cost is not None or first == end - 1:
                options.append((best[first][0] + (cost if cost is not None else 60.0), first))
        best.append(min(options))
    found, at = [], count
    while at:
        at = best[at][1]
        found.append(at)
    return tuple(reversed(found))


def _cost(
    score: Score, line: Sequence[_Need], first: int, end: int, sections: set[int], room: float
) -> float | None:
    """How far a line is from four even bars; None where its notes would touch."""
    pickup = first == 0 and score.tune.chart.pickup
    bars = len(line) - pickup
    stretch = max(need.stretch for need in line)
    if bars > _MOST or sum(need.natural * stretch + need.fixed for need in line) > room:
        return None
    inside = sum(1 for bar in range(first + 1, end) if bar in sections and not (pickup and bar == 1))
    into_section = first - max((bar for bar in sections if bar <= first), default=0)
    return 4.0 + (_MOST - bars) ** 2 * 1.5 + 9.0 * inside + (1.0 if into_section % 2 else 0.0)


def _need(score: Score, bar: int) -> _Need:
    symbols = [symbol for symbol in score.bars[bar] if not symbol.whole_bar]
    onsets = sorted({symbol.onset for symbol in (*symbols, *score.band[bar]) if not symbol.whole_bar})
    chart = score.tune.chart
    start, end = chart.starts[bar], chart.starts[bar + 1]
    if not onsets:
        count = beats(chart.bars[bar])
        onsets = [start + index * (end - start) / count for index in range(count)]
    edges = [*onsets, end] if onsets[0] == start else [start, *onsets, end]
    rooms = {edge: float(after - edge) ** _POWER for edge, after in pairwise(edges)}
    stretch = 2.4
    written = {symbol.onset: symbol for symbol in symbols}
    for edge, after in pairwise(edges):
        least = _least(score, written.get(edge), written.get(after))
        stretch = max(stretch, least / rooms[edge])
    changes = [start + change.offset for change in chart.bars[bar].chords]
    for change, after, held in zip(changes, [*changes[1:], end], chart.bars[bar].chords, strict=False):
        box = chord_mark(held.chord).box
        room = sum(room for edge, room in rooms.items() if change <= edge < after)
        if room:
            stretch = max(stretch, min((box.right - box.left + 3.0) / 4.5 / room, 12.0))
    return _Need(sum(rooms.values()), stretch, _BAR)


def _least(score: Score, first: Symbol | None, second: Symbol | None) -> float:
    """Spaces from one notehead's left to the next one's, at least."""
    room = 1.55
    if first:
        room += 0.5 * first.dots + (0.9 if _has_second(first.notes) else 0.0)
        room += 0.3 if any((note.fret or 0) > 9 for note in first.notes) else 0.0
    if second:
        room += sum(2.0 + _signs(score, (note,)) for note in second.graces)
        room += _signs(score, second.notes)
        if any(note.entry == "harmonic" or note.trill for note in second.notes):
            room += 0.8
    return room


def _signs(score: Score, notes: Sequence[Note]) -> float:
    """Spaces that the accidentals before a chord take: close ones stand in columns."""
    heights = [note.pitch.height for note in notes if f"n{score.indices[id(note)]}" in score.accidentals]
    crowd = max((sum(1 for other in heights if 0 <= other - height < 6) for height in heights), default=0)
    return 1.05 * crowd


def _has_second(notes: Sequence[Note]) -> bool:
    heights = sorted(note.pitch.height for note in notes)
    return any(high - low == 1 for low, high in pairwise(heights))


