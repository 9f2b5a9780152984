"""The drums: which piece is struck when, by feel and meter, with hits, fills and breaks from the chart."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import Literal

from solowright.music.time import EIGHTH, Feel, Time
from solowright.sound.band import DOTTED, BandBar, steps

Piece = Literal["kick", "snare", "hat", "ride", "crash", "tom"]


HIT: tuple[tuple[Piece, float], ...] = (("kick", 1.1), ("snare", 0.9), ("crash", 0.8))


@dataclass(frozen=True, slots=True)
class DrumStroke:
    """One stroke; ``level`` 1 is an ordinary loud one."""

    onset: Time
    piece: Piece
    level: float


def drum_part(bars: tuple[BandBar, ...], feel: Feel, random: Random) -> tuple[DrumStroke, ...]:
    """The drums' strokes in time order. Patterns are common practice, no source."""
    strokes: list[DrumStroke] = []
    for bar in bars:
        if bar.hits:
            strokes += [DrumStroke(time, piece, level) for time, _ in bar.hits for piece, level in HIT]
            if not bar.silent and bar is not bars[-1]:  # the foot keeps time under them
                strokes += [DrumStroke(beat, "hat", 0.35) for beat in bar.beats]
        elif not bar.silent:
            strokes += _time(bar, feel, random)
    return tuple(sorted(strokes, key=lambda stroke: stroke.onset))


def _time(bar: BandBar, feel: Feel, random: Random) -> list[DrumStroke]:
    """A bar of keeping time, with a crash where a section opens and a fill where one closes."""
    if bar.walks(feel):
        strokes = _swing(bar, random)
    elif bar.beat == DOTTED:
        strokes = _compound(bar)
    else:
        strokes = _backbeat(bar, random)
    if bar.opens:
        strokes = [stroke for stroke in strokes if stroke.onset > bar.start or stroke.piece == "kick"]
        strokes += [DrumStroke(bar.start, "crash", 0.8), DrumStroke(bar.start, "kick", 1.0)]
    if bar.closes and len(bar.beats) > 1:
        fill = bar.beats[-1]
        strokes = [stroke for stroke in strokes if stroke.onset < fill] + _fill(bar, fill, feel)
    return strokes


def _swing(bar: BandBar, random: Random) -> list[DrumStroke]:
    """Ride with a skipped note before every other beat, hi-hat by foot on two and four."""
    strokes = []
    for n, beat in enumerate(bar.beats):
        back, skip = n % 2 == 1, beat + EIGHTH
        strokes += [DrumStroke(beat, "ride", 0.9 if back else 0.75), DrumStroke(beat, "kick", 0.3)]
        if back:
            strokes.append(DrumStroke(beat, "hat", 0.6))
        if back and skip < bar.end:
            strokes.append(DrumStroke(skip, "ride", 0.6))
        if random.random() < 0.18 and skip < bar.end:
            strokes.append(DrumStroke(skip, "snare", 0.3))
    return strokes


def _backbeat(bar: BandBar, random: Random) -> list[DrumStroke]:
    """Hi-hat in eighths, kick and snare on the beats by turns; in three, snare on the last two."""
    strokes = _hats(bar)
    for n, beat in enumerate(bar.beats):
        weak = n > 0 if len(bar.beats) == 3 else n % 2 == 1
        strokes.append(DrumStroke(beat, "snare" if weak else "kick", 0.95))
    if len(bar.beats) > 3 and random.random() < 0.5:
        strokes.append(DrumStroke(bar.beats[2] - EIGHTH, "kick", 0.6))
    return strokes


def _compound(bar: BandBar) -> list[DrumStroke]:
    """6/8, 9/8, 12/8: hi-hat on every eighth, kick and snare on the dotted quarters by turns."""
    return _hats(bar) + [
        DrumStroke(beat, "snare" if n % 2 == 1 else "kick", 0.95) for n, beat in enumerate(bar.beats)
    ]


def _hats(bar: BandBar) -> list[DrumStroke]:
    return [
        DrumStroke(time, "hat", 0.7 if (time - bar.start) % bar.beat == 0 else 0.45)
        for time in steps(bar.start, bar.end, EIGHTH)
    ]


def _fill(bar: BandBar, start: Time, feel: Feel) -> list[DrumStroke]:
    """The last beat before a section: snare, then tom, in triplets where the feel swings."""
    parts = 3 if bar.walks(feel) else 6 if bar.beat == DOTTED else 4
    times = steps(start, bar.end, bar.beat / parts)
    return [
        DrumStroke(time, "snare" if n < parts / 2 else "tom", 0.6 + 0.4 * n / parts)
        for n, time in enumerate(times)
    ]
