"""The drums: which piece is struck when, by style and meter, with hits, fills and breaks from the chart."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from random import Random

from solowright.music.time import EIGHTH, QUARTER, Feel, Time
from solowright.sound.band import DOTTED, BandBar, freshly, steps
from solowright.sound.styles import DRUMS, PATTERN_LENGTH, Groove, Piece, Style

HIT: tuple[tuple[Piece, float], ...] = (("kick", 1.1), ("snare", 0.9), ("crash", 0.8))
EXTRA = 0.25  # chance of each thing that a groove adds now and then


@dataclass(frozen=True, slots=True)
class DrumStroke:
    """One stroke; ``level`` 1 is an ordinary loud one."""

    onset: Time
    piece: Piece
    level: float


def drum_part(bars: tuple[BandBar, ...], style: Style, feel: Feel, random: Random) -> tuple[DrumStroke, ...]:
    """The drums' strokes in time order; no bar the same four times running."""
    strokes: list[DrumStroke] = []
    recent: list[object] = []
    for index, bar in enumerate(bars):
        if bar.hits:
            strokes += [DrumStroke(time, piece, level) for time, _ in bar.hits for piece, level in HIT]
            if not bar.silent and bar is not bars[-1]:  # the foot keeps time under them
                strokes += [DrumStroke(beat, "hat", 0.35) for beat in bar.beats]
        elif not bar.silent:
            grooves = DRUMS[style]
            make = partial(_time, bar, grooves[index % len(grooves)], feel, style, random)
            strokes += freshly(make, partial(_within, bar.start), recent)
            continue
        recent.clear()
    return tuple(sorted(strokes, key=lambda stroke: stroke.onset))


def _within(start: Time, stroke: DrumStroke) -> object:
    """What tells the strokes of a bar apart."""
    return (stroke.onset - start, stroke.piece)


def break_hats(bars: tuple[BandBar, ...]) -> tuple[DrumStroke, ...]:
    """A hi-hat on the weak beats of every break, for a player who wants to be held."""
    return tuple(
        DrumStroke(beat, "hat", 0.5)
        for bar in bars
        if bar.silent and not bar.hits
        for beat in (bar.beats[1::2] or bar.beats)
    )


def _time(bar: BandBar, groove: Groove, feel: Feel, style: Style, random: Random) -> list[DrumStroke]:
    """A bar of keeping time, with a crash where a section opens and a fill where one closes."""
    if bar.beat == DOTTED:
        strokes = _compound(bar, random)
    elif bar.meter.beats % 4 and style not in ("walking", "two-feel", "bossa"):
        strokes = _odd(bar, random)
    else:
        strokes = _groove(bar, groove, random)
    if bar.opens:
        strokes = [stroke for stroke in strokes if stroke.onset > bar.start or stroke.piece == "kick"]
        strokes += [DrumStroke(bar.start, "crash", 0.8), DrumStroke(bar.start, "kick", 1.0)]
    if bar.closes and len(bar.beats) > 1:
        swings = style in ("walking", "two-feel", "shuffle") or not feel.straight
        fill = bar.beats[-2 if len(bar.beats) > 3 and random.random() < 0.4 else -1]
        strokes = [stroke for stroke in strokes if stroke.onset < fill] + _fill(bar, fill, swings, random)
    return strokes


def _groove(bar: BandBar, groove: Groove, random: Random) -> list[DrumStroke]:
    chosen = [extra for extra in groove.extra if random.random() < EXTRA]
    return [
        DrumStroke(start + time, piece, level)
        for start in steps(bar.start, bar.end, PATTERN_LENGTH)
        for piece, level, times in (*groove.base, *chosen)
        for time in times
        if start + time < bar.end
    ]


def _odd(bar: BandBar, random: Random) -> list[DrumStroke]:
    """Three, five, seven: kick on one, snare on the others by turns; in three, on the last two."""
    strokes = _hats(bar)
    for n, beat in enumerate(bar.beats):
        weak = n > 0 if len(bar.beats) == 3 else n % 2 == 1
        strokes.append(DrumStroke(beat, "snare" if weak else "kick", 0.95))
    return strokes + _pushes(bar, random)


def _compound(bar: BandBar, random: Random) -> list[DrumStroke]:
    """6/8, 9/8, 12/8: hi-hat on every eighth, kick and snare on the dotted quarters by turns."""
    strokes = _hats(bar) + [
        DrumStroke(beat, "snare" if n % 2 == 1 else "kick", 0.95) for n, beat in enumerate(bar.beats)
    ]
    return strokes + _pushes(bar, random)


def _pushes(bar: BandBar, random: Random) -> list[DrumStroke]:
    """Soft strokes an eighth before some beats."""
    return [
        DrumStroke(beat - EIGHTH, random.choice(("kick", "snare")), 0.45)
        for beat in (*bar.beats[1:], bar.end)
        if random.random() < EXTRA
    ]


def _hats(bar: BandBar) -> list[DrumStroke]:
    return [
        DrumStroke(time, "hat", 0.7 if (time - bar.start) % bar.beat == 0 else 0.45)
        for time in steps(bar.start, bar.end, EIGHTH)
    ]


def _fill(bar: BandBar, start: Time, swings: bool, random: Random) -> list[DrumStroke]:
    """The last beat or two before a section: snare, then tom, in triplets where the music swings."""
    parts = 6 if bar.beat == DOTTED else 3 if swings and bar.beat == QUARTER else 4
    times = steps(start, bar.end, bar.beat / parts)
    turn = min(random.choice((0.34, 0.5, 0.67)) * len(times), len(times) - 1)
    return [
        DrumStroke(time, "snare" if n < turn else "tom", 0.6 + 0.4 * n / len(times))
        for n, time in enumerate(times)
        if n == 0 or n == len(times) - 1 or random.random() < 0.85
    ]
