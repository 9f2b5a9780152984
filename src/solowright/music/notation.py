"""From exact durations to written values: what a copyist puts on the staff, bar by bar.

One voice: a note that rings past the next attack is written up to it. A value never hides the beat
it crosses, except where every copyist lets it (dotted values on the beat, a quarter on an offbeat
inside its half of the bar, a half note on the second beat). Common practice, no source.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from itertools import accumulate, groupby

from solowright.errors import InputError
from solowright.music.chart import Place
from solowright.music.line import Note
from solowright.music.time import ZERO, Meter, Time
from solowright.music.tune import Tune


@dataclass(frozen=True, slots=True)
class Symbol:
    """A written note, chord or rest (no ``notes``). ``onset`` and ``duration`` sound, in quarters.

    ``value`` is 1 whole, 2 half, 4 quarter … 64; ``tuplet`` is (how many, in the time of how many).
    Symbols with the same ``beam`` number in a bar are beamed together.
    """

    onset: Time
    duration: Time
    notes: tuple[Note, ...]
    graces: tuple[Note, ...]
    value: int
    dots: int
    tuplet: tuple[int, int] | None = None
    tuplet_start: bool = False
    tuplet_stop: bool = False
    tie_from: bool = False
    tie_to: bool = False
    beam: int | None = None
    whole_bar: bool = False  # a bar's rest, written the same in every meter


@dataclass(frozen=True, slots=True)
class _Span:
    """What sounds (or rests) between two moments of a bar, before it is written."""

    start: Time
    end: Time
    event: int | None
    tuplet: tuple[Time, int, int] | None = None  # where the group starts, how many, in how many

    @property
    def written(self) -> Time:
        """Length as written, in quarters: a triplet eighth is written as an eighth."""
        length = self.end - self.start
        return length if self.tuplet is None else length * self.tuplet[1] / self.tuplet[2]


@dataclass(frozen=True, slots=True)
class _Row:
    """A span as it is written; the rest as in ``Symbol``."""

    span: _Span
    value: int
    dots: int
    tuplet_start: bool
    tuplet_stop: bool
    beam: int | None


KEPT = 4096  # rhythms of a bar whose writing is kept: the same come again and again
_IN_TIME_OF = {3: 2, 5: 4, 7: 4, 9: 8}
_SHORTEST = Fraction(1, 16)  # a sixty-fourth


def notate(tune: Tune) -> tuple[tuple[Symbol, ...], ...]:
    """The written symbols of every bar of the tune, as played.

    Raises InputError, with bar and beat, for rhythms finer than sixty-fourths or outside the
    tuplets 3, 5, 7 and 9.
    """
    chart = tune.chart
    events, graces = _events(tune)
    ends = [start for start, _, _ in events[1:]] + [chart.length]
    written = [
        (start, min(end, after), notes) for (start, end, notes), after in zip(events, ends, strict=False)
    ]
    bars, first = [], 0
    for index, (bar, start) in enumerate(zip(chart.bars, chart.starts, strict=False)):
        end = start + bar.length
        while first < len(written) and written[first][1] <= start:
            first += 1
        lead_in = chart.lead_in(index)
        shift = start - lead_in
        sounding, events_here = [], []
        for number in range(first, len(written)):
            if written[number][0] >= end:
                break
            begin, stop, _ = written[number]
            sounding.append((max(begin, start) - shift, min(stop, end) - shift))
            events_here.append(written[number])
        try:
            rows = _write_bar(tuple(sounding), bar.meter, lead_in, lead_in + bar.length)
        except _TooFineError as fine:
            raise InputError(
                f"{Place(chart.number(index), 1 + fine.start)}: the rhythm is too fine to write; "
                "move the note to a 64th or a tuplet"
            ) from None
        bars.append(_symbols(rows, events_here, graces, shift))
    return tuple(bars)


def _events(tune: Tune) -> tuple[list[tuple[Time, Time, tuple[Note, ...]]], dict[Time, tuple[Note, ...]]]:
    """(start, end, notes) of what is struck together, and the grace notes by onset."""
    events: list[tuple[Time, Time, tuple[Note, ...]]] = []
    graces: dict[Time, tuple[Note, ...]] = {}
    for notes in tune.line.events():
        if notes[0].grace:
            graces[notes[0].onset] = (*graces.get(notes[0].onset, ()), *notes)
        else:
            events.append((notes[0].onset, max(note.end for note in notes), notes))
    return events, graces


class _TooFineError(Exception):
    """A rhythm can't be written; ``start`` is where, in quarters from the barline."""

    def __init__(self, start: Time) -> None:
        super().__init__()
        self.start = start


@lru_cache(KEPT)
def _write_bar(
    sounding: tuple[tuple[Time, Time], ...], meter: Meter, begin: Time, end: Time
) -> tuple[_Row, ...]:
    """The symbols of a bar in which events sound from here to there. ``event`` of a row's span is a place
    in ``sounding``."""
    spans = _write_spans([_Span(*times, place) for place, times in enumerate(sounding)], meter, begin, end)
    beams = _beams(spans, meter)
    rows = []
    for index, span in enumerate(spans):
        value, dots = _value(span.written) or (1, 0)
        before = spans[index - 1].tuplet if index else None
        after = spans[index + 1].tuplet if index + 1 < len(spans) else None
        starts, stops = (span.tuplet is not None and span.tuplet != other for other in (before, after))
        rows.append(_Row(span, value, dots, starts, stops, beams[index]))
    return tuple(rows)


def _write_spans(sounding: list[_Span], meter: Meter, begin: Time, end: Time) -> list[_Span]:
    """Splits the bar at its beats, then joins what may be one value."""
    filled: list[_Span] = []
    at = begin
    for span in sounding:
        if span.start > at:
            filled.append(_Span(at, span.start, None))
        filled.append(span)
        at = span.end
    if at < end:
        filled.append(_Span(at, end, None))
    if len(filled) == 1 and filled[0].event is None:
        return filled
    cuts = sorted({begin, end} | {span.start for span in filled})
    pieces = []
    for start, stop, tuplet in _pieces(ZERO, meter.length, _bar_parts(meter), cuts):
        if begin <= start < end:
            event = next(span.event for span in reversed(filled) if span.start <= start)
            pieces.append(_Span(start, stop, event, tuplet))
    return _join(pieces, meter)


_Piece = tuple[Time, Time, tuple[Time, int, int] | None]


def _pieces(start: Time, length: Time, parts: tuple[Time, ...], cuts: list[Time]) -> Iterator[_Piece]:
    """Cuts a stretch of the bar at its own parts until no attack falls inside a piece."""
    inner = [cut for cut in cuts if start < cut < start + length]
    if not inner and _value(length):
        yield start, start + length, None
        return
    count = _tuplet(start, length, inner) if inner else None
    if count:
        group = (start, count, _IN_TIME_OF[count])
        for index in range(count):
            yield from _halves(start + index * length / count, length / count, cuts, group)
        return
    if length <= _SHORTEST:
        raise _TooFineError(start)
    for part in parts:
        yield from _pieces(start, part, _parts(part), cuts)
        start += part


def _halves(start: Time, length: Time, cuts: list[Time], group: tuple[Time, int, int]) -> Iterator[_Piece]:
    """The same inside one member of a tuplet, which is only ever halved."""
    if any(start < cut < start + length for cut in cuts):
        yield from _halves(start, length / 2, cuts, group)
        yield from _halves(start + length / 2, length / 2, cuts, group)
    else:
        yield start, start + length, group


def _tuplet(start: Time, length: Time, inner: list[Time]) -> int | None:
    """How many notes share this stretch, if its attacks ask for a tuplet just this long."""
    odd = {_odd(cut.denominator) for cut in inner} - {1}
    if len(odd) != 1 or _odd(length.numerator) != 1 or length > 4:
        return None
    count = odd.pop()
    middle = start + length / 2
    if count not in _IN_TIME_OF or middle in inner:
        return None
    places = [(cut - start) * count / length for cut in inner]
    uneven = [cut for cut in inner if _odd(cut.denominator) > 1]
    finest = 4 if length <= 1 else 2
    if any(place.denominator > finest or _odd(place.denominator) > 1 for place in places):
        return None
    if not any(place.denominator == 1 for place in places):
        return None
    if length > 1 and (min(uneven) > middle or max(uneven) < middle):
        return None
    return count


def _odd(number: int) -> int:
    """The odd part of a whole number."""
    return number // (number & -number)


def _bar_parts(meter: Meter) -> tuple[Time, ...]:
    """The stretches a full bar falls into: halves of 4/4, beats of 3/4, dotted quarters of 6/8."""
    if meter.pulse == Fraction(3, 2):
        return (Fraction(3, 2),) * (meter.beats // 3)
    unit = Fraction(4, meter.unit)
    groups = {4: (2, 2), 5: (3, 2), 6: (3, 3), 7: (2, 2, 3) if meter.unit == 8 else (4, 3)}
    return tuple(unit * size for size in groups.get(meter.beats, (1,) * meter.beats))


def _parts(length: Time) -> tuple[Time, ...]:
    if _odd(length.numerator) == 3:
        return (length / 3,) * 3
    return (length / 2,) * 2


def _value(written: Time) -> tuple[int, int] | None:
    """(value, dots) of a written length in quarters; None where one symbol can't say it."""
    for dots, size in ((0, Fraction(1)), (1, Fraction(3, 2))):
        value = 4 * size / written
        if value.denominator == 1 and _odd(value.numerator) == 1 and value <= 64:
            return int(value), dots
    return None


def _join(pieces: list[_Span], meter: Meter) -> list[_Span]:
    joined: list[_Span] = []
    for piece in pieces:
        last = joined[-1] if joined else None
        if last and last.event == piece.event and last.tuplet == piece.tuplet:
            whole = replace(last, end=piece.end)
            if _value(whole.written) and _reads_well(whole, meter):
                joined[-1] = whole
                continue
        joined.append(piece)
    return joined


def _reads_well(span: _Span, meter: Meter) -> bool:
    """Whether one value from here to there still shows the beat."""
    start, length, pulse = span.start, span.end - span.start, meter.pulse
    if span.tuplet:
        return True
    if span.event is None:
        undotted = _odd(length.numerator) == 1
        return undotted and start % length == 0 and (length <= pulse or meter.beats % 2 == 0)
    if start // pulse == (span.end - _SHORTEST / 16) // pulse:
        return True
    if pulse == Fraction(3, 2):
        return start % pulse == 0 and length % pulse == 0
    middle = meter.length / 2 if meter.beats % 4 == 0 else None
    crosses = middle is not None and start < middle < span.end
    if start % pulse == 0:
        return not crosses or length % pulse == 0
    return start % pulse == pulse / 2 and length == pulse and not crosses


def _symbols(
    rows: tuple[_Row, ...],
    events: list[tuple[Time, Time, tuple[Note, ...]]],
    graces: dict[Time, tuple[Note, ...]],
    shift: Time,
) -> tuple[Symbol, ...]:
    """A bar's rows with the notes of the ``events`` that sound in it."""
    symbols = []
    for row in rows:
        span = row.span
        onset, end = span.start + shift, span.end + shift
        notes: tuple[Note, ...] = ()
        tie_from = tie_to = False
        if span.event is not None:
            start, stop, notes = events[span.event]
            tie_from, tie_to = start < onset, end < stop
        symbols.append(
            Symbol(
                onset=onset,
                duration=span.end - span.start,
                notes=notes,
                graces=() if tie_from else graces.get(onset, ()),
                value=row.value,
                dots=row.dots,
                tuplet=span.tuplet[1:] if span.tuplet else None,
                tuplet_start=row.tuplet_start,
                tuplet_stop=row.tuplet_stop,
                tie_from=tie_from,
                tie_to=tie_to,
                beam=row.beam,
                whole_bar=len(rows) == 1 and span.event is None,
            )
        )
    return tuple(symbols)


def _beams(spans: list[_Span], meter: Meter) -> list[int | None]:
    """A beam number for each symbol: by the beat, or by the half bar where 4/4 runs in eighths."""
    pulse, half = meter.pulse, 2 * meter.pulse
    if meter.unit == 8 and pulse < 1:  # 3/8, 5/8, 7/8: the groups are the beats
        edges = [ZERO, *accumulate(_bar_parts(meter) if meter.beats > 3 else (meter.length,))]
    else:
        edges = []

    def beat(start: Time) -> int:
        return bisect_right(edges, start) if edges else int(start // pulse)

    def runs_in_eighths(number: int) -> bool:
        inside = [span for span in spans if span.start // half == number]
        return all(s.event is not None and not s.tuplet and s.written == pulse / 2 for s in inside)

    by_half = meter.beats % 4 == 0 and pulse != Fraction(3, 2)
    keys: list[tuple[bool, int] | None] = []
    for span in spans:
        value, _ = _value(span.written) or (1, 0)
        if span.event is None or value < 8:
            keys.append(None)
            continue
        wide = by_half and runs_in_eighths(span.start // half)
        keys.append((wide, int(span.start // half) if wide else beat(span.start)))
    beams: list[int | None] = [None] * len(spans)
    start = number = 0
    for key, group in groupby(keys):
        size = len(list(group))
        if key is not None and size > 1:
            number += 1
            beams[start : start + size] = [number] * size
        start += size
    return beams
