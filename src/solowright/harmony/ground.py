"""The line laid over the chart: what every rule of the reading looks at.

Notes struck together are one event; grace notes belong to the event they lead into and dead notes
to none. Time is counted in whole ticks, a quarter holding as many as the tune's own fractions need,
so comparing is exact and quick.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise
from math import floor, lcm
from statistics import median_low

from solowright.harmony.colours import Colours, colours_of
from solowright.music.line import Note
from solowright.music.time import Time
from solowright.music.tune import Tune

# Metrical weight of an onset.
OFF, BEAT, HALF_BAR, BAR = 0, 1, 2, 3

PHRASE_REST = 1  # quarters of rest that end a phrase; also what the published phrase figures use
PHRASE_LONG = 2  # quarters from one onset to the next that end a phrase…
LONG_RATIO = 3  # …if they are as many times the line's usual note too
RUN_GAP = 1.5  # quarters between onsets above which notes don't form one figure
BESIDE = 2  # chords on either side of a phrase that may have their say in it
PUSH = 0.5  # quarters before a change within which a note may already belong to the next chord


@dataclass(frozen=True, slots=True)
class Span:
    """One chord as long as it lasts, in ticks; ``colours`` None is ``N.C.``"""

    start: int
    end: int
    colours: Colours | None

    def holds(self, pitch_class: int) -> bool:
        """Whether the pitch class is one of those that say the chord."""
        return self.colours is not None and pitch_class in self.colours.core


@dataclass(frozen=True, slots=True)
class Event:
    """What is struck at one moment. ``notes`` are places in the line from the highest note down,
    ``graces`` those that lead into them; ``pitches`` are as heard (a bend's goal), ``midi`` the
    highest. ``struck`` is the span the onset lies in, ``span`` the one it is heard against: a note
    pushed ahead of a change belongs to the chord after. ``weight`` is that of the onset, or of the
    change it is pushed from.
    """

    notes: tuple[int, ...]
    graces: tuple[int, ...]
    pitches: tuple[int, ...]
    midi: int
    start: int
    end: int
    struck: int
    span: int
    weight: int

    @property
    def single(self) -> bool:
        return len(self.pitches) == 1

    @property
    def pushed(self) -> bool:
        """Whether the note stands ahead of the chord it belongs to."""
        return self.span != self.struck


@dataclass(frozen=True, slots=True)
class Ground:
    """``ticks`` a quarter; ``phrases`` and ``stretches`` are (first event, one past the last).

    A stretch lies in one phrase and holds single notes that follow each other closely: what a run
    or an arpeggio can be made of.
    """

    tune: Tune
    ticks: int
    spans: tuple[Span, ...]
    events: tuple[Event, ...]
    phrases: tuple[tuple[int, int], ...]
    stretches: tuple[tuple[int, int], ...]

    def time(self, tick: int) -> Time:
        return Time(tick, self.ticks)

    def places(self, start: int, stop: int) -> tuple[int, ...]:
        """The places in the line of all notes of the events from ``start`` up to ``stop``."""
        events = self.events[start:stop]
        return tuple(place for event in events for place in (*event.graces, *event.notes))

    def colours(self, index: int) -> Colours | None:
        """What the chord offers that the event at ``index`` is heard against."""
        return self.spans[self.events[index].span].colours

    def phrase(self, index: int) -> tuple[int, int]:
        """The phrase that the event at ``index`` lies in."""
        return self.phrases[bisect_right(self.phrases, (index, len(self.events))) - 1]

    @property
    def end(self) -> int:
        """The tick at which the chart ends."""
        return self.spans[-1].end if self.spans else 0

    def is_same_phrase(self, phrase: tuple[int, int], other: Ground, there: tuple[int, int]) -> bool:
        """Whether a phrase is the one that lies ``there`` on another ground with the same ticks and key:
        the same notes over the same chords, between the same neighbours; it may stand at another time."""
        if phrase[1] - phrase[0] != there[1] - there[0]:
            return False
        first, twin_first = self.events[phrase[0]], other.events[there[0]]
        later, further = first.start - twin_first.start, first.struck - twin_first.struck
        if self._chords(phrase, first) != other._chords(there, twin_first):
            return False
        time = self.time(later)
        for event, twin in zip(self.events[slice(*phrase)], other.events[slice(*there)], strict=True):
            if (event.pitches, event.start - later, event.end - later, event.weight) != (
                twin.pitches, twin.start, twin.end, twin.weight,
            ):  # fmt: skip
                return False
            if (event.struck - further, event.span - further) != (twin.struck, twin.span):
                return False
            if len(event.graces) != len(twin.graces):
                return False
            mine, theirs = (*event.graces, *event.notes), (*twin.graces, *twin.notes)
            for place, twin_place in zip(mine, theirs, strict=True):
                note, was = self.tune.line.notes[place], other.tune.line.notes[twin_place]
                if note is was:
                    continue
                moved = replace(was, onset=was.onset + time) if later else was
                if note != moved or note.spelled != was.spelled:
                    return False
        return True

    def _chords(self, phrase: tuple[int, int], first: Event) -> list[tuple[int, int, Colours | None] | None]:
        """The chords under a phrase and beside it, timed from its first event; None off the chart's ends."""
        last = self.events[phrase[1] - 1].span
        return [
            (span.start - first.start, span.end - first.start, span.colours)
            if 0 <= index < len(self.spans) and (span := self.spans[index])
            else None
            for index in range(first.struck - BESIDE, last + BESIDE + 1)
        ]

    def landing(self, stop: int) -> int:
        """The event that a figure up to ``stop`` lands on: the next one where it follows in the same
        phrase, else the figure's last."""
        return min(stop, self.phrase(stop - 1)[1] - 1)

    def name(self, index: int) -> str:
        """The name of the event's highest note as written: ``Bb4``."""
        event = self.events[index]
        return self.tune.line.notes[event.notes[0]].pitch.name


def heard_pitch(note: Note) -> int:
    """MIDI number that the note is heard as: a bent note counts as the pitch it is bent to."""
    if not note.bends:
        return note.pitch.midi
    return note.pitch.midi + max(0, *(floor(leg.semitones) for leg in note.bends))


def lay_out(tune: Tune) -> Ground:
    """Lays the line over the chart."""
    ticks = _ticks(tune)
    spans = tuple(
        Span(_tick(start, ticks), _tick(end, ticks), colours_of(chord) if chord else None)
        for start, end, chord in tune.chart.spans
    )
    events = _lay_events(tune, ticks, spans)
    phrases = _cut_phrases(events, ticks)
    return Ground(tune, ticks, spans, events, phrases, _cut_stretches(events, phrases, ticks))


def _ticks(tune: Tune) -> int:
    """The least division of the quarter in which every time of the tune is whole (and an eighth)."""
    times = [time for note in tune.line.notes for time in (note.onset, note.duration)]
    times += [time for start, end, _ in tune.chart.spans for time in (start, end)]
    times += [time for bar in tune.chart.bars for time in (bar.length, bar.meter.length, bar.meter.pulse)]
    return lcm(2, *{time.denominator for time in times})


def _tick(time: Time, ticks: int) -> int:
    return time.numerator * (ticks // time.denominator)


@dataclass(frozen=True, slots=True)
class _Stroke:
    """Notes struck together, before they are set against the chart."""

    notes: tuple[int, ...]
    graces: tuple[int, ...]
    pitches: tuple[int, ...]
    start: int
    end: int


def _strokes(tune: Tune, ticks: int) -> list[_Stroke]:
    strokes = []
    graces: list[int] = []
    notes = tune.line.notes
    place = 0
    for group in tune.line.events():
        places = [index for index in range(place, place + len(group)) if not notes[index].dead]
        place += len(group)
        if graces and notes[graces[0]].onset != group[0].onset:
            strokes += [_stroke(tune, ticks, [grace], ()) for grace in graces]  # they lead nowhere
            graces = []
        if group[0].grace:
            graces += places
        elif places:
            strokes.append(_stroke(tune, ticks, places, tuple(graces)))
            graces = []
    return strokes + [_stroke(tune, ticks, [grace], ()) for grace in graces]


def _stroke(tune: Tune, ticks: int, places: list[int], graces: tuple[int, ...]) -> _Stroke:
    notes = [tune.line.notes[place] for place in places]
    start = _tick(notes[0].onset, ticks)
    end = start + max(_tick(note.duration, ticks) for note in notes)
    return _Stroke(tuple(places), graces, tuple(map(heard_pitch, notes)), start, end)


def _lay_events(tune: Tune, ticks: int, spans: tuple[Span, ...]) -> tuple[Event, ...]:
    strokes = _strokes(tune, ticks)
    weigh = _weigher(tune, ticks)
    span_starts = [span.start for span in spans]
    events = []
    for stroke, after in zip(strokes, [*strokes[1:], None], strict=False):
        here = max(0, bisect_right(span_starts, stroke.start) - 1)
        change = spans[here].end
        near = here + 1 < len(spans) and change - stroke.start <= PUSH * ticks
        pushed = near and _is_pushed(stroke, after, spans[here], spans[here + 1])
        events.append(
            Event(
                stroke.notes, stroke.graces, stroke.pitches, max(stroke.pitches), stroke.start, stroke.end,
                here, here + pushed, weigh(change if pushed else stroke.start),
            )
        )  # fmt: skip
    return tuple(events)


def _is_pushed(stroke: _Stroke, after: _Stroke | None, here: Span, coming: Span) -> bool:
    """Whether a note struck just ahead of a change is heard as the first of the next chord.

    It is where it rings over the change for at least as long as it stood before it; and where it
    is the last before the change, foreign to its own chord, says the next one, and isn't led on by
    step.
    """
    if coming.colours is None:
        return False
    change = here.end
    if stroke.end > change and stroke.end - change >= change - stroke.start:
        return True
    top = max(stroke.pitches)
    if here.colours is None or here.holds(top % 12) or not coming.holds(top % 12):
        return False
    if after is None:
        return True
    return after.start >= change and not 1 <= abs(max(after.pitches) - top) <= 2


def _weigher(tune: Tune, ticks: int) -> Callable[[int], int]:
    """The metrical weight of any tick."""
    chart = tune.chart
    starts = [_tick(start, ticks) for start in chart.starts]
    meters = [
        (_tick(bar.meter.length, ticks), _tick(bar.meter.pulse, ticks), _tick(chart.lead_in(index), ticks))
        for index, bar in enumerate(chart.bars)
    ]

    def weigh(tick: int) -> int:
        index = min(max(0, bisect_right(starts, tick) - 1), len(meters) - 1)
        length, pulse, lead_in = meters[index]
        offset = tick - starts[index] + lead_in
        if offset % length == 0:
            return BAR
        if offset % pulse:
            return OFF
        halved = length // pulse >= 4 and offset * 2 == length
        return HALF_BAR if halved else BEAT

    return weigh


def _cut_phrases(events: tuple[Event, ...], ticks: int) -> tuple[tuple[int, int], ...]:
    """Cuts at rests and behind long notes."""
    gaps = [after.start - event.start for event, after in pairwise(events)]
    long = max(PHRASE_LONG * ticks, LONG_RATIO * median_low(gaps)) if gaps else 0
    edges = [0]
    for index, gap in enumerate(gaps, 1):
        if gap >= long or events[index].start - events[index - 1].end >= PHRASE_REST * ticks:
            edges.append(index)
    return tuple(pairwise([*edges, len(events)])) if events else ()


def _cut_stretches(
    events: tuple[Event, ...], phrases: tuple[tuple[int, int], ...], ticks: int
) -> tuple[tuple[int, int], ...]:
    stretches = []
    for first, stop in phrases:
        start = first
        for index in range(first, stop):
            close = index == start or events[index].start - events[index - 1].start <= RUN_GAP * ticks
            if not events[index].single or not close:
                stretches.append((start, index))
                start = index if events[index].single else index + 1
        stretches.append((start, stop))
    return tuple((start, stop) for start, stop in stretches if stop - start > 1)

