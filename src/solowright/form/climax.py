"""Where the solo peaks, where its sections want the peak, and how far the sections differ.

The rules are common practice, no source: a section named for it holds the peak; else the last section
before the ending; in a solo of one section its last third.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise
from math import log2

from solowright.form.record import Climax, Contrast, Curves, SectionArc, Stretch, Where
from solowright.form.strikes import Strike
from solowright.music.tune import Tune

PEAKS = re.compile(r"\b(shout|climax|peak|send.?off)", re.IGNORECASE)
ENDINGS = re.compile(r"\b(ending|outro|coda|tag|end|out)\b", re.IGNORECASE)
PLATEAU = 0.92  # of the peak: neighbouring bars this intense belong to it
SHORT = 8  # bars with notes; a line that plays in fewer isn't asked for a peak
AWAY = 2  # bars outside the peak from which another one counts as a rival
LONG = 0.5  # of the solo: a last section longer than this is wanted only in its second half
# What is heard as a contrast: a fourth or so in register, half as many notes again, 3 dB, a fifth of
# the time more against the chords, a quarter of it more flash. Assumed.
HEARD = {"pace": 0.58, "register": 5.0, "level": 3.0, "tension": 0.2, "flash": 0.25}


def find_stretches(tune: Tune) -> tuple[Stretch, ...]:
    """Every section as played."""
    starts = tune.chart.section_starts
    stops = [first for first, _ in starts[1:]] + [len(tune.chart.bars)]
    return tuple(Stretch(name, first, stop) for (first, name), stop in zip(starts, stops, strict=True))


def find_climax(tune: Tune, curves: Curves, strikes: Sequence[Strike]) -> Climax | None:
    """The peak against what the sections want; None without a line."""
    if not strikes:
        return None
    top = max(curves.intensity)
    bar = max(range(len(curves.intensity)), key=lambda place: (curves.intensity[place], place))
    first = last = bar
    while first and curves.intensity[first - 1] >= PLATEAU * top:
        first -= 1
    while last + 1 < len(curves.intensity) and curves.intensity[last + 1] >= PLATEAU * top:
        last += 1
    wanted = find_wanted(tune, strikes)
    where: Where = "early" if last < wanted.first else "late" if first >= wanted.stop else "there"
    if len({strike.bar for strike in strikes}) < SHORT:
        where = "short"
    highest = max(strikes, key=lambda strike: strike.top)
    note = max(highest.notes, key=lambda place: tune.line.notes[place].pitch.midi)
    rival = _find_rival(curves.intensity, first, last)
    return Climax(bar, first, last, wanted, where, rival, note, tune.chart.place(highest.start))


def _find_rival(intensity: Sequence[float], first: int, last: int) -> int | None:
    """The tallest bar away from the peak, where it is nearly as tall."""
    away = [bar for bar in range(len(intensity)) if bar <= first - AWAY or bar >= last + AWAY]
    rival = max(away, key=lambda bar: intensity[bar], default=None)
    if rival is None or intensity[rival] < PLATEAU * max(intensity):
        return None
    return rival


def find_wanted(tune: Tune, strikes: Sequence[Strike]) -> Stretch:
    """Where the sections ask for the peak, among the bars in which the line plays."""
    begin, stop = strikes[0].bar, strikes[-1].bar + 1
    played = [
        Stretch(part.name, max(begin, part.first), min(stop, part.stop))
        for part in find_stretches(tune)
        if part.first < stop and part.stop > begin
    ]
    named = [part for part in played if PEAKS.search(part.name)]
    if named:
        return named[-1]
    while len(played) > 1 and ENDINGS.search(played[-1].name):
        played.pop()
    last = played[-1]
    length = last.stop - begin
    if len(played) == 1:
        return Stretch(last.name, begin + 2 * length // 3, last.stop)
    if last.stop - last.first > LONG * length:
        return Stretch(last.name, (last.first + last.stop) // 2, last.stop)
    return last


def section_arcs(tune: Tune, curves: Curves, strikes: Sequence[Strike]) -> tuple[SectionArc, ...]:
    """The means of every section as played."""
    return tuple(_section(tune, curves, strikes, part) for part in find_stretches(tune))


def _section(tune: Tune, curves: Curves, strikes: Sequence[Strike], part: Stretch) -> SectionArc:
    bars = range(part.first, part.stop)
    edges = [tune.seconds(tune.chart.starts[bar]) for bar in range(part.first, part.stop + 1)]
    seconds = [stop - start for start, stop in pairwise(edges)]

    def mean(curve: Sequence[float | None]) -> float | None:
        rows = [(curve[bar], time) for bar, time in zip(bars, seconds, strict=True)]
        known = [(value, time) for value, time in rows if value is not None]
        whole = sum(time for _, time in known)
        return sum(value * time for value, time in known) / whole if whole else None

    notes = sum(part.first <= strike.bar < part.stop for strike in strikes)
    return SectionArc(
        part, notes, mean(curves.density) or 0.0, mean(curves.pitch),
        max((curves.load[bar] for bar in bars), default=0.0),
        mean(curves.tension) or 0.0, mean(curves.flash) or 0.0,
        mean(curves.level) or 0.0, mean(curves.intensity) or 0.0,
    )  # fmt: skip


def find_contrasts(sections: Sequence[SectionArc]) -> tuple[Contrast, ...]:
    """Every section with notes against the one with notes before it."""
    played = [place for place, section in enumerate(sections) if section.notes]
    return tuple(
        _contrast(before, after, sections[before], sections[after])
        for before, after in pairwise(played)
    )


def _contrast(before: int, after: int, one: SectionArc, other: SectionArc) -> Contrast:
    faster = other.density / one.density if one.density else 1.0
    higher = (other.pitch or 0.0) - (one.pitch or 0.0)
    differences = {
        "pace": log2(faster) / HEARD["pace"] if faster > 0 else 0.0,
        "register": higher / HEARD["register"],
        "level": (other.level - one.level) / HEARD["level"],
        "tension": (other.tension - one.tension) / HEARD["tension"],
        "flash": (other.flash - one.flash) / HEARD["flash"],
    }
    strongest = max(differences, key=lambda name: abs(differences[name]))
    return Contrast(
        before, after, faster, higher, other.level - one.level, other.tension - one.tension,
        other.flash - one.flash, strongest, abs(differences[strongest]),
    )  # fmt: skip
