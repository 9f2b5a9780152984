"""Where systems begin: four bars a line, fewer where they are dense, sections at the start of one.

The model of a line is verovio's: a symbol's room grows with its duration to the power 0.6, and a
line with room to spare is stretched evenly. A line must never need to be squeezed: verovio would
squeeze accidentals and grace notes into their neighbours. Units: staff spaces.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from solowright.music.chart import Chart
from solowright.music.line import Note
from solowright.music.notation import Symbol
from solowright.page.over import chord_mark
from solowright.page.passage import Passage, Whole
from solowright.page.score import Score, beats, write_score
from solowright.page.staff import SPACE, SPACINGS

KEPT = 4096  # bars whose needs are kept
_POWER = 0.6
_NATURAL = 15.3  # spaces that verovio gives a quarter note at a linear spacing of 1 (measured)
_MOST = 4  # bars a line
_START = 9.0  # clef and room before the first note, without signatures
_BAR = 3.2  # room around a barline
_METER = 4.0  # a time signature
_EVEN = 4.1  # spaces for a quarter note below which a line looks crowded
_EASE = 1.12  # how much more than touching neighbours should have


@dataclass(frozen=True, slots=True)
class Line:
    """A system to be: its first bar by index, and the linear spacing that verovio is to lay it by."""

    first: int
    spacing: float


@dataclass(frozen=True, slots=True, eq=False)
class _Need:
    """What one bar asks for: (share of the line, least room) of each symbol, the least stretch at
    which its frets and chord symbols stand apart, and room that isn't stretched. Kept by its bar, and so
    told from others by being itself."""

    shares: tuple[tuple[float, float], ...]
    stretch: float
    fixed: float


def find_lines(whole: Whole, width: float) -> tuple[Line, ...]:
    """The systems of a tune, ``width`` points wide. Raises InputError as ``write_score`` does."""
    chart = whole.tune.chart
    needs = tuple(_find_need(whole.cut(bar, bar + 1).passage) for bar in range(len(chart.bars)))
    room = width / SPACE - _START - abs(whole.tune.key.fifths)
    begun = _sections_begun(chart)
    best: list[tuple[float, int]] = [(0.0, 0)]
    for end in range(1, len(needs) + 1):
        options = []
        for first in range(end - 1, max(-1, end - 2 - _MOST), -1):
            cost = _cost(chart.pickup, needs[first:end], first, begun, room)
            options.append((best[first][0] + cost, first))
        best.append(min(options))
    lines, end = [], len(needs)
    while end:
        first = best[end][1]
        lines.append(Line(first, _spacing(needs[first:end], room)))
        end = first
    return tuple(reversed(lines))


_NEVER = 1e6  # the cost of a line that is too full; one bar alone has no other place


def _cost(
    has_pickup: bool, line: tuple[_Need, ...], first: int, begun: Sequence[tuple[int, int]], room: float
) -> float:
    """How far a line is from four even bars; ``begun`` as ``_sections_begun`` gives it."""
    pickup = first == 0 and has_pickup
    bars = len(line) - pickup
    if len(line) > 1 and (bars > _MOST or _wanted(line) > room):
        return _NEVER
    earliest = first + pickup  # where a section may begin
    inside = begun[first + len(line) - 1][0] - begun[earliest][0] if bars else 0
    return 4.0 + 1.5 * (_MOST - bars) ** 2 + 9.0 * inside + ((first - begun[first][1]) % _MOST > 0)


def _sections_begun(chart: Chart) -> list[tuple[int, int]]:
    """For every bar, how many sections have begun there, and where the last did."""
    sections = {index for index, _ in chart.section_starts}
    begun, count, last = [], 0, 0
    for bar in range(len(chart.bars)):
        if bar in sections:
            count, last = count + 1, bar
        begun.append((count, last))
    return begun


@lru_cache(2 * KEPT)
def _wanted(line: tuple[_Need, ...]) -> float:
    """The room that a line would like, stretched as its fullest bar must be."""
    stretch = max(need.stretch for need in line)
    bars = [sum(max(share * stretch, _EASE * least) for share, least in need.shares) for need in line]
    return sum(bars) + sum(need.fixed for need in line)


@lru_cache(KEPT)
def _spacing(line: tuple[_Need, ...], room: float) -> float:
    """The widest spacing that the line bears without being squeezed."""
    fixed = sum(need.fixed for need in line)
    for spacing in SPACINGS:
        natural = _NATURAL * spacing
        taken = sum(max(share * natural, least) for need in line for share, least in need.shares)
        if taken + fixed <= room:
            return spacing
    return SPACINGS[-1]


@lru_cache(KEPT)
def _find_need(bar: Passage) -> _Need:
    score = write_score(bar)
    return _need(score, score.shown.start)


def _need(score: Score, bar: int) -> _Need:
    chart = score.tune.chart
    start, end = chart.starts[bar], chart.starts[bar + 1]
    written = {symbol.onset: symbol for symbol in score.bars[bar] if not symbol.whole_bar}
    onsets = sorted({*written, *(symbol.onset for symbol in score.band[bar] if not symbol.whole_bar)})
    if not onsets:
        count = beats(chart.bars[bar])
        onsets = [start + index * (end - start) / count for index in range(count)]
    edges = [onset for onset in onsets if onset > start]
    edges = [start, *edges, end]
    shares = {edge: float(after - edge) ** _POWER for edge, after in pairwise(edges)}
    rooms = [_least(score, written.get(edge), written.get(after)) for edge, after in pairwise(edges)]
    frets = [_least_frets(written.get(edge), written.get(after)) for edge, after in pairwise(edges)]
    stretch = max([_EVEN, *(room / share for room, share in zip(frets, shares.values(), strict=True))])
    changes = [(start + change.offset, chord_mark(change.chord).box) for change in chart.bars[bar].chords]
    for (change, box), (after, _) in pairwise([*changes, (end, None)]):
        share = sum(share for edge, share in shares.items() if change <= edge < after)
        if box and share:
            stretch = max(stretch, min((box.right - box.left + 3.0) / SPACE / share, 12.0))
    fixed = _BAR + _before(score, written.get(start))
    if bar and chart.bars[bar].meter != chart.bars[bar - 1].meter:
        fixed += _METER
    return _Need(tuple(zip(shares.values(), rooms, strict=True)), stretch, fixed)


def _least(score: Score, first: Symbol | None, second: Symbol | None) -> float:
    """Spaces that verovio keeps from one notehead's left to the next one's, at least."""
    room = 1.4 + _before(score, second)
    if first:
        room += 0.5 * first.dots + (0.9 if _has_second(first.notes) else 0.0)
    return room


def _least_frets(first: Symbol | None, second: Symbol | None) -> float:
    """The same for the frets, which verovio knows nothing of."""
    room = 1.9
    if first:
        room += 0.25 if any((note.fret or 0) > 9 for note in first.notes) else 0.0
        room += 2.0 if any(note.trill for note in first.notes) else 0.0
    if second:
        room += 0.8 if any(note.entry == "harmonic" for note in second.notes) else 0.0
        room += 2.0 * len(second.graces)
    return room


def _before(score: Score, symbol: Symbol | None) -> float:
    """Spaces that accidentals and grace notes take before a symbol."""
    if symbol is None:
        return 0.0
    return _signs(score, symbol.notes) + sum(2.0 + _signs(score, (note,)) for note in symbol.graces)


def _signs(score: Score, notes: Sequence[Note]) -> float:
    """Spaces that the accidentals before a chord take: close ones stand in columns."""
    heights = [note.pitch.height for note in notes if f"n{score.indices[id(note)]}" in score.accidentals]
    crowd = max((sum(1 for other in heights if 0 <= other - height < 6) for height in heights), default=0)
    return 1.05 * crowd


def _has_second(notes: Sequence[Note]) -> bool:
    heights = sorted(note.pitch.height for note in notes)
    return any(high - low == 1 for low, high in pairwise(heights))
