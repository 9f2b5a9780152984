"""How a note's pitch moves while it sounds: bends, vibrato, trills, slides in and off.

Semitones above the written pitch against samples from the note's start, as points to be joined by
straight lines. The shapes and rates are common practice, no source, save where one is named.
"""

from __future__ import annotations

from math import cos, pi

from solowright.music.line import Note
from solowright.sound.string import SAMPLE_RATE

Point = tuple[int, float]

BEND_TIME = 0.22  # seconds a bend takes at most
VIBRATO_HZ, VIBRATO_SEMITONES = 5.4, 0.3  # a string can only be pushed up, so it swings from 0 to here
VIBRATO_WAIT = 0.18  # seconds the note stands still first
TRILL_STEP = 0.075  # seconds a trill's note lasts, at most: one hand taps 5 to 7 times a second
SLIDE_FRET = 0.016  # seconds a slide takes over one fret
RETUNE = round(0.0015 * SAMPLE_RATE)  # a finger lands or leaves within this
_SMOOTH = 12  # straight lines in a rounded move


def pitch_path(note: Note, length: int) -> tuple[Point, ...]:
    """Points of ``note``'s pitch over ``length`` samples; the first is at 0."""
    points: list[Point] = [(0, 0.0)]
    if note.bends:
        points = _bends(note, length)
    elif note.trill:
        points = _trill(note.trill, length)
    if note.slide_from:
        points = [*slide(0, note.slide_from, 0, room=length // 2), *(p for p in points if p[0] > length // 2)]
    if note.vibrato:
        points = _with_vibrato(points, length)
    if note.slide_to:
        off = slide(0, points[-1][1], points[-1][1] + note.slide_to, room=length // 2)
        begin = length - off[-1][0]
        points = [p for p in points if p[0] < begin] + [(begin + time, pitch) for time, pitch in off]
    return tuple(points)


def slide(start: int, here: float, there: float, room: int) -> list[Point]:
    """A slide over the frets: each is a short glide and a shorter rest, all within ``room`` samples."""
    steps = max(1, round(abs(there - here)))
    each = min(SLIDE_FRET * SAMPLE_RATE, room / steps)
    points = [(start, here)]
    for step in range(steps):
        reached = here + (there - here) * (step + 1) / steps
        points.append((start + round(each * (step + 0.7)), reached))
        points.append((start + round(each * (step + 1)), reached))
    return points


def trill_steps(length: int) -> list[int]:
    """Samples at which a trill changes its note, in an even number of equal parts."""
    parts = max(2, 2 * round(length / (2 * TRILL_STEP * SAMPLE_RATE)))
    return [length * n // parts for n in range(1, parts)]


def _trill(semitones: int, length: int) -> list[Point]:
    points: list[Point] = [(0, 0.0)]
    for n, time in enumerate(trill_steps(length)):
        here, there = (0.0, float(semitones)) if n % 2 == 0 else (float(semitones), 0.0)
        points += [(time, here), (time + RETUNE, there)]
    return points


def _bends(note: Note, length: int) -> list[Point]:
    """Each leg gets an equal share of the note and moves in the first part of its share."""
    legs = [bend for bend in note.bends if bend.kind != "prebend"]
    here = next((float(bend.semitones) for bend in note.bends if bend.kind == "prebend"), 0.0)
    points: list[Point] = [(0, here)]
    for n, leg in enumerate(legs):
        begin = length * n // len(legs)
        moving = min(round(BEND_TIME * SAMPLE_RATE), length // len(legs) * 2 // 3)
        # The struck pitch is heard for a moment before the first push.
        begin += min(moving // 4, round(0.03 * SAMPLE_RATE)) if n == 0 else 0
        there = float(leg.semitones)
        for step in range(_SMOOTH + 1):
            share = (1 - cos(pi * step / _SMOOTH)) / 2
            points.append((begin + moving * step // _SMOOTH, here + (there - here) * share))
        here = there
    return points


def _with_vibrato(points: list[Point], length: int) -> list[Point]:
    """The path with a swing above it, growing from where the note has stood still a while."""
    begin = max(points[-1][0], round(min(VIBRATO_WAIT * SAMPLE_RATE, length / 3)))
    base = points[-1][1]
    step = round(SAMPLE_RATE / VIBRATO_HZ / 24)
    grow = 0.3 * SAMPLE_RATE
    swings = []
    for time in range(begin, length, step):
        depth = VIBRATO_SEMITONES * min(1.0, (time - begin) / grow + 0.25)
        phase = 2 * pi * VIBRATO_HZ * (time - begin) / SAMPLE_RATE
        swings.append((time, base + depth * (1 - cos(phase)) / 2))
    return points + swings
