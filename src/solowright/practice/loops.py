"""The beats that break first, cut out as loops that are worth playing again and again.

A loop runs from a beat, or from the breath before a phrase, through the crux to the note it lands on.
It sounds in its whole bars, so that the band goes on under it, and it keeps the fingering of the solo.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from solowright.errors import InputError
from solowright.music.chart import Chart, ChordAt, Place, Section, beat_text
from solowright.music.line import Note, make_line
from solowright.music.time import EIGHTH, ZERO, Time, steady
from solowright.music.tune import Tune
from solowright.neck import Path, Player, apply_path, find_easings, finger
from solowright.sound.practice import looped

LEAD = 3  # moves that lead into a crux, at least, so that the hand meets it in motion (assumed)
REACH = Time(4)  # quarters at most from the crux to either border: a bar of 4/4 (assumed)
BREATH = EIGHTH  # a rest this long begins a phrase
EASY = 0.4  # loads below this share of the hardest loop's need no loop of their own (assumed)
MOST = 4  # loops for one tune: four blocks of four minutes fill a sitting


@dataclass(frozen=True, slots=True)
class Loop:
    """A stretch to practise: its border times (``end`` is where the landing note ends), its bars as
    players count them, the crux, the load there at show tempo, why it is hard, the tempo at which it
    would break, and what eases it."""

    start: Time
    end: Time
    bars: tuple[int, int]
    beat: Fraction  # where in its first bar it begins
    crux: Place
    load: float
    why: str
    limit_tempo: float
    ease: str = ""

    @property
    def name(self) -> str:
        """The loop's bars and where in them it begins, as one says it; no two loops share a name."""
        first, last = self.bars
        bars = f"bar {first}" if first == last else f"bars {first}-{last}"
        return bars if self.beat == 1 else f"{bars} from beat {beat_text(self.beat)}"


@dataclass(frozen=True, slots=True)
class _Moment:
    """What is struck together: the time, when it ends, the load of the move into it."""

    onset: Time
    end: Time
    load: float


def find_loops(tune: Tune, path: Path, player: Player | None = None, most: int = MOST) -> tuple[Loop, ...]:
    """The hardest stretches of a line under one fingering, hardest first; never two that overlap.

    Raises InputError for a line with nothing hard in it: one note, or none.
    """
    moments = _moments(path)
    hard = max((moment.load for moment in moments), default=0.0)
    if not hard:
        raise InputError("nothing in this line needs practice: no two notes follow each other")
    found: list[Loop] = []
    for moment in sorted(moments, key=lambda moment: (-moment.load, moment.onset)):
        if len(found) == most or moment.load < EASY * hard:
            break
        first, last = _cut(tune, moments, moments.index(moment))
        start, end = moments[first].onset, moments[last].end
        if first < last and all(end <= loop.start or loop.end <= start for loop in found):
            found.append(_loop(tune, path, start, end, player))
    return tuple(found)


def _moments(path: Path) -> list[_Moment]:
    """The path's moments in order; grace notes belong to the note they lead to."""
    found: list[_Moment] = []
    for placed in path.notes:
        note = placed.note
        if found and found[-1].onset == note.onset:
            before = found[-1]
            found[-1] = _Moment(note.onset, max(before.end, note.end), max(before.load, placed.load))
        else:
            found.append(_Moment(note.onset, note.end, placed.load))
    return found


def _cut(tune: Tune, moments: list[_Moment], at: int) -> tuple[int, int]:
    """The first and the last moment of the loop around the moment at ``at``."""
    crux = moments[at].onset
    first = at
    for index in range(at, -1, -1):
        if crux - moments[index].onset > REACH:
            break
        first = index
        if _begins(tune, moments, index) and (at - index >= LEAD or _breathes(moments, index)):
            break
    last = at
    for index in range(at, len(moments)):
        if moments[index].onset - crux > REACH or (index > at and _breathes(moments, index)):
            break
        last = index
        if index > at and _strong(tune, moments[index].onset):
            break
    return first, last


def _begins(tune: Tune, moments: list[_Moment], index: int) -> bool:
    """Whether a loop may begin there: on a beat, or after a breath."""
    start = tune.chart.place(moments[index].onset)
    pulse = tune.chart.bars[tune.chart.index(start.bar)].meter.pulse
    return (start.beat - 1) % pulse == 0 or _breathes(moments, index)


def _breathes(moments: list[_Moment], index: int) -> bool:
    return index == 0 or moments[index].onset - moments[index - 1].end >= BREATH


def _strong(tune: Tune, onset: Time) -> bool:
    """Whether a time is where lines land: the first beat of a bar, or its half."""
    place = tune.chart.place(onset)
    meter = tune.chart.bars[tune.chart.index(place.bar)].meter
    beat = place.beat - 1
    return beat == 0 or (beat * 2 == meter.length and beat % meter.pulse == 0)


def _loop(tune: Tune, path: Path, start: Time, end: Time, player: Player | None) -> Loop:
    """The loop between two borders, weighed by itself: what leads up to it doesn't count."""
    alone = finger(_between(apply_path(tune, path), start, end), player).paths[0]
    crux = alone.crux
    assert crux is not None  # two moments or more
    easings = find_easings(_between(tune, start, end), alone, player)
    ease = f"{easings[0].what}, and it holds up to {easings[0].limit_tempo:.0f}" if easings else ""
    last = max(placed.note.onset for placed in alone.notes)
    first = tune.chart.place(start)
    bars = (first.bar, tune.chart.place(last).bar)
    return Loop(start, end, bars, first.beat, crux.place, crux.load, crux.why, alone.limit_tempo, ease)


def _between(tune: Tune, start: Time, end: Time) -> Tune:
    """The tune with the notes that begin between two times, none ringing past the end."""
    kept = [note for note in tune.line.notes if start <= note.onset < end]
    return replace(tune, line=make_line([_ended(note, end) for note in kept]))


def loop_tune(tune: Tune, loop: Loop, times: int = 1) -> Tune:
    """The tune that plays a loop's bars ``times`` over: the loop's notes alone, the band under them."""
    return looped(_between(tune, loop.start, loop.end), loop.bars, times)


def loop_excerpt(tune: Tune, loop: Loop) -> Tune:
    """The loop's bars by themselves, to be engraved: they keep their numbers."""
    chart = tune.chart
    first, last = (chart.index(number) for number in loop.bars)
    start = chart.starts[first]
    opening = chart.bars[first]
    if not opening.chords or opening.chords[0].offset:
        opening = replace(opening, chords=(ChordAt(ZERO, chart.chord_at(start)), *opening.chords))
    section = Section("", (opening, *chart.bars[first + 1 : last + 1]))
    notes = _between(tune, loop.start, loop.end).line.notes
    return replace(
        tune,
        chart=Chart((section,), first=loop.bars[0]),
        line=make_line([replace(note, onset=note.onset - start) for note in notes]),
        tempo=steady(tune.tempo.at(start)),
    )


def _ended(note: Note, end: Time) -> Note:
    return note if note.end <= end else replace(note, duration=end - note.onset)
