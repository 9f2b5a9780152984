"""The bass: what it plays from the chart.

The root, or the bass after the slash, falls on every change of chord. Between, it walks in quarters and
is led into the next root by step, or keeps to the style's patterns. Common practice, no source.
"""

from __future__ import annotations

from functools import partial
from random import Random

from solowright.music.chord import Chord
from solowright.music.pitch import degree_interval
from solowright.music.time import QUARTER, Time
from solowright.sound.band import DOTTED, BandBar, BandNote, Harmony, cut_last, freshly, notes_within, steps
from solowright.sound.styles import (
    BASS,
    COMPOUND_BASS,
    COMPOUND_LENGTH,
    PATTERN_LENGTH,
    SHORT_BASS,
    Step,
    Style,
)

LOWEST, ROOT_TOP, HIGHEST = 28, 40, 48  # E1, E2, C3


def bass_line(bars: tuple[BandBar, ...], style: Style, random: Random) -> tuple[BandNote, ...]:
    """The bass part, in time order, one note at a time; no bar the same four times running."""
    notes: list[BandNote] = []
    recent: list[object] = []
    for bar in bars:
        if bar.hits:
            for time, end in bar.hits:
                chord = bar.chord_at(time)
                if chord:
                    notes.append(BandNote(time, end, _root(chord, _near(notes)), 1.15))
        elif not bar.silent:
            notes += freshly(partial(_bar, bar, notes, style, random), notes_within(bar), recent, cut_last)
            continue
        recent.clear()
    return tuple(notes)


def _bar(bar: BandBar, before: list[BandNote], style: Style, random: Random) -> list[BandNote]:
    found = before[-1:]
    kept = len(found)
    for harmony in bar.harmonies:
        if bar.beat == DOTTED:
            found += _pattern(harmony, random.choice(COMPOUND_BASS), COMPOUND_LENGTH, _near(found))
        elif style == "walking":
            _walk(harmony, found, random)
        else:
            patterns = BASS[style] if harmony.end - harmony.start >= 2 else SHORT_BASS
            found += _pattern(harmony, random.choice(patterns), PATTERN_LENGTH, _near(found))
    return found[kept:]


def _near(notes: list[BandNote]) -> int:
    return notes[-1].midi if notes else LOWEST + 7


def _root(chord: Chord, near: int) -> int:
    """The root or slash bass nearest to ``near``, low on the instrument."""
    pitch_class = (chord.bass or chord.root).pitch_class
    return min(
        (midi for midi in range(LOWEST, ROOT_TOP + 1) if midi % 12 == pitch_class),
        key=lambda midi: (abs(midi - near), midi),
    )


def _walk(harmony: Harmony, notes: list[BandNote], random: Random) -> None:
    beats = [(time, min(harmony.end, time + QUARTER)) for time in steps(harmony.start, harmony.end, QUARTER)]
    for n, (time, end) in enumerate(beats):
        near = _near(notes)
        fresh = harmony.changed or not notes or notes[-1].end < time  # after a break too
        if n == 0 and (fresh or random.random() < 0.6):
            midi = _root(harmony.chord, near)
        elif n == len(beats) - 1 and n > 0 and _leads_on(harmony, random):
            midi = _approach(_root(harmony.following or harmony.chord, near), near, random)
        else:
            midi = _chord_tone(harmony.chord, [note.midi for note in notes[-3:]], random)
        notes.append(BandNote(time, end, midi, 1.0 if n % 2 == 0 else 1.06))


def _leads_on(harmony: Harmony, random: Random) -> bool:
    """Whether the last beat leads into what follows: always into another chord, often into the same."""
    return (harmony.following or harmony.chord) != harmony.chord or random.random() < 0.5


def _approach(target: int, near: int, random: Random) -> int:
    """A half step into ``target``, from the side where the line comes from, or now and then its fifth."""
    if random.random() < 0.2 and target + 7 <= HIGHEST and target + 7 != near:
        return target + 7
    side = 1 if near > target or (near == target and random.random() < 0.5) else -1
    return target + side if target + side >= LOWEST else target + 1


def _chord_tone(chord: Chord, before: list[int], random: Random) -> int:
    """A tone of the chord's first four degrees within a fifth, rather one that wasn't just played and
    that goes on the way the line is going."""
    near = before[-1] if before else LOWEST + 7
    way = near - before[-2] if len(before) > 1 else 0
    classes = {(chord.root.pitch_class + degree_interval(d).semitones) % 12 for d in chord.degrees[:4]}
    choices = [m for m in range(LOWEST, HIGHEST + 1) if m % 12 in classes and 0 < abs(m - near) <= 7]
    if not choices:
        return _root(chord, near)
    middle = (LOWEST + HIGHEST) / 2 - 1

    def unlikely(midi: int) -> float:
        turns = 1.5 if (midi - near) * way < 0 else 0.0
        stale = 4.0 if midi in before else 0.0
        return 0.4 * abs(midi - near) + 0.25 * abs(midi - middle) + turns + stale + random.uniform(0, 3)

    return min(choices, key=unlikely)


def _pattern(harmony: Harmony, pattern: tuple[Step, ...], length: Time, near: int) -> list[BandNote]:
    """The pattern over one chord, again and again until the chord ends."""
    root = _root(harmony.chord, near)
    plan = [
        (start + step.at, step)
        for start in steps(harmony.start, harmony.end, length)
        for step in pattern
        if start + step.at < harmony.end
    ]
    ends = [time for time, _ in plan[1:]] + [harmony.end]
    return [
        BandNote(
            time,
            min(time + step.length, end),
            _tone(harmony, step.what if time > harmony.start else "1", root),
            step.level,
            step.dead,
        )
        for (time, step), end in zip(plan, ends, strict=True)
    ]


# Which of the chord's own degrees stands for a step of a pattern, the first that it has.
_STANDS_FOR = {"3": ("3", "b3", "4", "2"), "5": ("5", "b5", "#5"), "6": ("6", "13", "bb7", "b7", "5")}


def _tone(harmony: Harmony, what: str, root: int) -> int:
    chord = harmony.chord
    if what == "8":
        if root + 12 <= HIGHEST:
            return root + 12
        what = "5"  # the octave lies too high
    if what == "in" and harmony.following and harmony.following != chord:
        target = _root(harmony.following, root)
        return target - 1 if target > LOWEST else target + 1
    for degree in _STANDS_FOR.get(what, ()):
        if degree in chord.degrees:
            pitch_class = chord.tone(degree).pitch_class
            return min(
                (m for m in range(LOWEST, HIGHEST + 1) if m % 12 == pitch_class),
                key=lambda m: (m < root, abs(m - root)),
            )
    return root
