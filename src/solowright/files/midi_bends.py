"""Pitch bend to what the hand does, and back: bends, slides in and off, vibrato.

A curve is the bend in semitones by time. Reading takes only what is plain: steps of half a semitone
(a quarter-tone bend upward), rises and falls of 0.4 semitones and more, wobble as vibrato. How a bend
moves in time is common practice, no source: a leg takes the first half of its share of the note,
vibrato is ±0.2 semitones at 5.5 Hz.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from solowright.music.line import Bend, Note
from solowright.music.time import Time

Curve = list[tuple[Time, float]]

BEND_RANGE = 12  # semitones, set by RPN 0 in the files we write
_PLAIN = 0.4  # semitones: less is expression
_WOBBLES = 4  # turns of direction that make a vibrato
_VIBRATO_DEPTH, _VIBRATO_HERTZ = 0.2, 5.5
_SLIDE_IN, _SLIDE_OFF = Fraction(1, 4), Fraction(1, 3)  # share of the note
_LONGEST_SLIDE = Fraction(1, 4)  # quarters
_STEP = Fraction(1, 48)  # quarters between bend messages


def read_bends(note: Note, moves: Sequence[tuple[Time, float]]) -> Note:
    """The note with the bends, slides and vibrato that its pitch-bend moves plainly are."""
    values = [value for _, value in moves]
    if not values or max(map(abs, values)) < 0.05:
        return note
    turns = _turning_points(values)
    vibrato = len(turns) - 2 >= _WOBBLES
    plain = _turning_points([round(2 * value) / 2 for value in values])
    legs = [plain[0]]
    for value in plain[1:]:
        if abs(value - legs[-1]) >= _PLAIN:
            legs.append(value)
    slide_from = slide_to = 0
    if legs[0] <= -_PLAIN and len(legs) > 1:
        slide_from = round(legs[0])
        legs = legs[1:]
    if legs[-1] <= -_PLAIN and len(legs) > 1:
        slide_to = round(legs[-1])
        legs = legs[:-1]
    bends = [Bend(Fraction(legs[0]), "prebend")] if legs[0] >= _PLAIN else []
    for before, after in pairwise(legs):
        bends.append(Bend(Fraction(max(after, 0)), "bend" if after > before else "release"))
    return Note(
        note.pitch, note.onset, note.duration, bends=tuple(bends), vibrato=vibrato,
        slide_from=slide_from, slide_to=slide_to,
    )  # fmt: skip


def _turning_points(values: Sequence[float]) -> list[float]:
    """The first value, every value where the direction turns, and the last."""
    found = [values[0]]
    for value in values[1:]:
        if value == found[-1]:
            continue
        if len(found) > 1 and (value > found[-1]) == (found[-1] > found[-2]):
            found[-1] = value
        else:
            found.append(value)
    return found


def needs_bend(note: Note) -> bool:
    """Whether a note can't be played without pitch bend."""
    return bool(note.bends or note.vibrato or note.slide_from or note.slide_to)


def bend_curve(note: Note, start: Time, end: Time, quarter_seconds: float, glide_from: int = 0) -> Curve:
    """The bend of a note that sounds from ``start`` to ``end``; ``glide_from`` semitones it slides from."""
    length = end - start
    curve: Curve = []
    level = float(glide_from or note.slide_from)
    now = start
    if level:
        now = start + min(length * _SLIDE_IN, _LONGEST_SLIDE)
        curve += _ramp(start, now, level, 0.0)
        level = 0.0
    prebends = [bend for bend in note.bends if bend.kind == "prebend"]
    if prebends:
        level = float(prebends[-1].semitones)
        curve.append((now, level))
    stop = end - min(length * _SLIDE_OFF, _LONGEST_SLIDE) if note.slide_to else end
    legs = [bend for bend in note.bends if bend.kind != "prebend"]
    for index, leg in enumerate(legs):
        share = (stop - now) / (len(legs) - index)
        curve += _ramp(now, now + share / 2, level, float(leg.semitones))
        level, now = float(leg.semitones), now + share
    if note.vibrato:
        first = curve[-1][0] if curve else start + length / 4
        curve += _wobble(first, stop, level, quarter_seconds)
    if note.slide_to:
        curve += _ramp(stop, stop + (end - stop) * 3 / 4, level, level + note.slide_to)
    return [(time, max(-BEND_RANGE, min(BEND_RANGE, value))) for time, value in curve if time < end]


def _ramp(start: Time, end: Time, first: float, last: float) -> Curve:
    count = max(1, int((end - start) / _STEP))
    return [(start + (end - start) * k / count, first + (last - first) * k / count) for k in range(count + 1)]


def _wobble(start: Time, end: Time, level: float, quarter_seconds: float) -> Curve:
    count = int((end - start) / _STEP)
    curve = [
        (start + k * _STEP, math.sin(2 * math.pi * _VIBRATO_HERTZ * float(k * _STEP) * quarter_seconds))
        for k in range(count)
    ]
    return [(time, level + _VIBRATO_DEPTH * value) for time, value in curve]
