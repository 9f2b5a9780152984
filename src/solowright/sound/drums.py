"""The drums: which piece is struck when, by feel and meter, with hits, fills and breaks from the chart."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import Literal

from solowright.music.time import EIGHTH, QUARTER, Feel, Time
from solowright.sound.band import BandBar
from solowright.sound.bass import walks
from solowright.sound.excerpt import beats_of

Piece = Literal["kick", "snare", "hat", "open hat", "ride", "crash", "tom"]


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
        if not bar.silent:
            if not bar.hits:
                strokes += _time(bar, feel, random)
            elif bar is not bars[-1]:
                strokes += [DrumStroke(bar.start + beat, "hat", 0.35) for beat in _pulses(bar)]
        for time, _ in bar.hits:
            strokes += [DrumStroke(time, piece, level) for piece, level in HIT]
    return tuple(sorted(strokes, key=lambda stroke: stroke.onset))


def _pulses(bar: BandBar) -> tuple[Time, ...]:
    return beats_of(bar.end - bar.start, bar.meter.pulse)


def _time(bar: BandBar, feel: Feel, random: Random) -> list[DrumStroke]:
    """A bar of keeping time, with a crash where a section opens and a fill where one closes."""
    if walks(bar, feel):
        strokes = _swing(bar, random)
    elif bar.meter.pulse > QUARTER:
        strokes = _compound(bar)
    else:
        strokes = _backbeat(bar, random)
    if bar.opens:
        strokes = [stroke for stroke in strokes if stroke.onset > bar.start or stroke.piece == "kick"]
        strokes += [DrumStroke(bar.start, "crash", 0.8), DrumStroke(bar.start, "kick", 1.0)]
    if bar.closes and bar.end - bar.start > bar.meter.pulse:
        fill = bar.end - bar.meter.pulse
        strokes = [stroke for stroke in strokes if stroke.onset < fill] + _fill(bar, fill, feel)
    return strokes


def _swing(bar: BandBar, random: Random) -> list[DrumStroke]:
    """Ride with a skipped note before every other beat, hi-hat by foot on two and four."""
    strokes = []
    for n, beat in enumerate(_pulses(bar)):
        time = bar.start + beat
        back = n % 2 == 1
        strokes.append(DrumStroke(time, "ride", 0.9 if back else 0.75))
        strokes.append(DrumStroke(time, "kick", 0.3))
        if back:
            strokes.append(DrumStroke(time, "hat", 0.6))
            if beat + EIGHTH < bar.end - bar.start:
                strokes.append(DrumStroke(time + EIGHTH, "ride", 0.6))
        if random.random() < 0.18 and beat + EIGHTH < bar.end - bar.start:
            strokes.append(DrumStroke(time + EIGHTH, "snare", 0.3))
    return strokes


def _backbeat(bar: BandBar, random: Random) -> list[DrumStroke]:
    """Hi-hat in eighths, kick on the strong pulses, snare on the weak ones."""
    length = bar.end - bar.start
    strokes = []
    for eighth in beats_of(length, EIGHTH):
        on_pulse = eighth % bar.meter.pulse == 0
        strokes.append(DrumStroke(bar.start + eighth, "hat", 0.7 if on_pulse else 0.45))
    pulses = _pulses(bar)
    for n, beat in enumerate(pulses):
        piece: Piece = "snare" if n % 2 == 1 else "kick"
        strokes.append(DrumStroke(bar.start + beat, piece, 0.95))
    if random.random() < 0.5 and length > 2 * bar.meter.pulse:
        strokes.append(DrumStroke(bar.start + 2 * bar.meter.pulse - EIGHTH, "kick", 0.6))
    return strokes


def _compound(bar: BandBar) -> list[DrumStroke]:
    """6/8, 9/8, 12/8: hi-hat on every eighth, kick and snare on the dotted quarters by turns."""
    strokes = [
        DrumStroke(bar.start + eighth, "hat", 0.7 if eighth % bar.meter.pulse == 0 else 0.4)
        for eighth in beats_of(bar.end - bar.start, EIGHTH)
    ]
    for n, beat in enumerate(_pulses(bar)):
        strokes.append(DrumStroke(bar.start + beat, "snare" if n % 2 == 1 else "kick", 0.95))
    return strokes


def _fill(bar: BandBar, start: Time, feel: Feel) -> list[DrumStroke]:
    """The last beat before a section: snare and toms, in triplets where the feel swings."""
    step = bar.meter.pulse / 3 if walks(bar, feel) or bar.meter.pulse > QUARTER else bar.meter.pulse / 4
    pieces: tuple[Piece, ...] = ("snare", "snare", "tom", "tom")
    return [
        DrumStroke(start + offset, pieces[n % 4], 0.6 + 0.1 * n)
        for n, offset in enumerate(beats_of(bar.meter.pulse, step))
    ]
