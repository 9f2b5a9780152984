"""The guide-tone path: the thirds and sevenths by which the line leads from chord to chord.

Guide tones are third and seventh (Coker 1991; Baker, *How to Play Bebop*, from memory). They lead where
a seventh goes to a third or a third to a seventh by step, or one note stays, within a beat of the
change. Over each chord one of those that the line plays is taken, so that most of them lead, move least
and come early (exact, by dynamic programming); where none leads the path begins anew.
"""

from __future__ import annotations

from dataclasses import dataclass

from solowright.harmony.ground import Ground
from solowright.music.time import Time

THIRDS, SEVENTHS = (3, 4), (9, 10, 11)  # semitones in a chord's stack; 9 is the diminished seventh
CHOICE = 6  # guide tones of a chord that are weighed, the earliest
LATE = 0.5  # semitones that a beat's delay weighs
ANEW = 6.0  # semitones that a break in the path weighs
STEP = 2  # semitones
NEAR = 1  # quarters after the change by which the next guide tone must come


@dataclass(frozen=True, slots=True)
class GuideTone:
    """A third or seventh on the path: ``note`` is its place in the line, ``move`` the semitones from
    the one before that leads to it, None where the path begins."""

    note: int
    time: Time
    chord: str
    degree: str
    move: int | None


def find_guide_tones(ground: Ground) -> tuple[GuideTone, ...]:
    """The path, chord by chord; chords without a guide tone in the line are left out."""
    by_span = _candidates(ground)
    rows: list[list[tuple[float, bool, int]]] = []  # for every tone (cost, led to, index of the tone before)
    spans = list(by_span)
    for place, span in enumerate(spans):
        earlier = by_span[spans[place - 1]] if place else []
        row: list[tuple[float, bool, int]] = []
        for tone in by_span[span]:
            ways = [(0.0, False, -1)] if not place else []
            for index, before in enumerate(earlier):
                led = spans[place - 1] == span - 1 and _leads(before, tone)
                step = abs(tone.midi - before.midi) if led else ANEW
                ways.append((rows[-1][index][0] + step, led, index))
            cost, led, index = min(ways)
            row.append((cost + LATE * tone.late, led, index))
        rows.append(row)
    return _follow(ground, spans, by_span, rows)


@dataclass(frozen=True, slots=True)
class _Tone:
    """A guide tone that the line plays: ``late`` in quarters after the change, ``note`` its place."""

    midi: int
    third: bool
    late: float
    note: int


def _leads(before: _Tone, tone: _Tone) -> bool:
    move = abs(tone.midi - before.midi)
    return tone.late <= NEAR and (not move or (move <= STEP and before.third != tone.third))


def _candidates(ground: Ground) -> dict[int, list[_Tone]]:
    """The first guide tones that the line plays over every span."""
    found: dict[int, list[_Tone]] = {}
    for event in ground.events:
        colours = ground.spans[event.span].colours
        if colours is None or len(found.get(event.span, ())) >= CHOICE:
            continue
        sevenths = SEVENTHS if colours.chord.family == "diminished" else SEVENTHS[1:]
        for place, midi in zip(event.notes, event.pitches, strict=True):
            above = (midi - colours.root) % 12
            if above in colours.stack and above in (*THIRDS, *sevenths):
                late = max(0, event.start - ground.spans[event.span].start) / ground.ticks
                found.setdefault(event.span, []).append(_Tone(midi, above in THIRDS, late, place))
    return dict(sorted(found.items()))


def _follow(
    ground: Ground,
    spans: list[int],
    by_span: dict[int, list[_Tone]],
    rows: list[list[tuple[float, bool, int]]],
) -> tuple[GuideTone, ...]:
    path: list[GuideTone] = []
    chosen = min(range(len(rows[-1])), key=lambda index: rows[-1][index][0]) if rows else -1
    for place in range(len(spans) - 1, -1, -1):
        tone = by_span[spans[place]][chosen]
        _, led, before = rows[place][chosen]
        move = tone.midi - by_span[spans[place - 1]][before].midi if led else None
        colours = ground.spans[spans[place]].colours
        assert colours is not None, "guide tones belong to a chord"
        onset, degree = ground.tune.line.notes[tone.note].onset, colours.names[tone.midi % 12]
        path.append(GuideTone(tone.note, onset, colours.chord.symbol, degree, move))
        chosen = before
    return tuple(reversed(path))
