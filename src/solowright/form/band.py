"""The line and the band: breaks and what fills them, hits it plays, answers it leaves room for, and the
way back to the melody.

A rest is the time with nothing of the line sounding. Times in quarters, the way back in seconds.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from math import log2

from solowright.form.record import AnswerRoom, BreakFill, Curves, HitsPlayed, WayBack
from solowright.form.strikes import Strike
from solowright.harmony import Reading
from solowright.harmony.devices.found import RELATIONS
from solowright.music.chart import Place
from solowright.music.time import ZERO, Time
from solowright.music.tune import Tune
from solowright.neck import Path, Player, fret_distance, gap

RING_OUT = 0.5  # seconds that a last note needs to be heard as the last; assumed

BEFORE = 4  # bars before a break that it is compared with


def read_breaks(
    tune: Tune, curves: Curves, strikes: Sequence[Strike], reading: Reading
) -> tuple[BreakFill, ...]:
    """Every run of bars in which the band is out."""
    chart = tune.chart
    found = []
    for silent, group in groupby(range(len(chart.bars)), key=lambda bar: chart.bars[bar].pause):
        if not silent:
            continue
        bars = list(group)
        first, last = bars[0], bars[-1]
        start, end = chart.starts[first], chart.starts[last + 1]
        inside = [strike for strike in strikes if start <= strike.start < end]
        names = dict.fromkeys(
            device.kind for device in reading.devices
            if device.kind not in RELATIONS and start <= device.start < end
        )  # fmt: skip
        seconds = tune.seconds(end) - tune.seconds(start)
        gaps = [stop - begin for begin, stop in _rests(strikes, start, end)]
        found.append(
            BreakFill(
                first, last, len(inside), len(inside) / seconds,
                _mean(curves.density[max(0, first - BEFORE) : first]), tuple(names), max(gaps, default=ZERO),
                inside[0].start - start if inside else None,
            )
        )  # fmt: skip
    return tuple(found)


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values) if values else 0.0


def _rests(strikes: Sequence[Strike], start: Time, end: Time) -> Iterator[tuple[Time, Time]]:
    """The stretches of (start, end) in which nothing of the line sounds."""
    now = start
    for strike in strikes:
        if strike.end <= start or strike.start >= end:
            continue
        if strike.start > now:
            yield now, strike.start
        now = max(now, strike.end)
    if now < end:
        yield now, end


def read_hits(tune: Tune, strikes: Sequence[Strike]) -> tuple[HitsPlayed, ...]:
    """Every bar with hits."""
    struck: dict[int, list[Time]] = {}
    for strike in strikes:
        struck.setdefault(strike.bar, []).append(strike.start)
    rows = []
    for place, (start, bar) in enumerate(zip(tune.chart.starts, tune.chart.bars, strict=False)):
        if bar.hits:
            offsets = [onset - start for onset in struck.get(place, ())]
            played = tuple(hit for hit in bar.hits if hit in offsets)
            left = tuple(hit for hit in bar.hits if hit not in offsets)
            between = sum(offset < max(bar.hits) and offset not in bar.hits for offset in offsets)
            rows.append(HitsPlayed(place, played, left, between))
    return tuple(rows)


def read_answers(tune: Tune, strikes: Sequence[Strike]) -> tuple[AnswerRoom, ...]:
    """Every bar in which the band answers. A written answer takes from its first note to its last and
    the rest of that beat; one without a rhythm takes the whole bar."""
    chart = tune.chart
    rests = list(_rests(strikes, ZERO, chart.length))
    rooms = []
    for place, (start, bar) in enumerate(zip(chart.starts, chart.bars, strict=False)):
        if not (bar.answered or bar.answer):
            continue
        begin, end = start, start + bar.length
        if bar.answer:
            begin = start + bar.answer[0]
            end = min(end, start + bar.answer[-1] // 1 + 1)
        attacks = sum(begin <= strike.start < end for strike in strikes)
        rest = max((stop - since for since, stop in rests if since < end and stop > begin), default=ZERO)
        rooms.append(AnswerRoom(place, begin, end, attacks, rest))
    return tuple(rooms)


def read_way_back(tune: Tune, strikes: Sequence[Strike], path: Path, player: Player) -> WayBack | None:
    """From the last note to where the melody comes in; None without a line."""
    if not strikes:
        return None
    chart, last = tune.chart, strikes[-1]
    later = [chart.starts[bar] for bar, _ in chart.section_starts if chart.starts[bar] > last.start]
    end = max(strike.end for strike in strikes)
    later = [start for start in later if start >= end]
    entry = later[0] if later else chart.length
    at = chart.place(entry) if later else Place(chart.number(len(chart.bars)), Time(1))
    time = tune.seconds(entry) - last.second
    rings = min(tune.seconds(end), tune.seconds(entry)) - last.second
    mm, hand = _travel(tune, path, player)
    needs = RING_OUT + hand
    return WayBack(
        chart.place(last.start), at, bool(later), entry - last.start, time, rings, hand, mm, needs,
        time >= needs,
    )  # fmt: skip


def _travel(tune: Tune, path: Path, player: Player) -> tuple[float, float]:
    """Millimetres and seconds from the last position of the hand to its first, as ``neck`` times a shift."""
    positions = [placed.position for placed in path.notes if placed.position]
    if not positions or positions[0] == positions[-1]:
        return 0.0, 0.0
    goal, now = (tune.capo + position for position in (positions[0], positions[-1]))
    travel = abs(fret_distance(goal, player.scale) - fret_distance(now, player.scale))
    timing = player.timing
    return travel, timing.lift + timing.bit * log2(max(1.0, 2 * travel / gap(goal, player.scale)))


