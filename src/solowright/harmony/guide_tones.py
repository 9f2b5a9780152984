"""The guide-tone path: the thirds and sevenths by which the line leads from chord to chord.

Guide tones are third and seventh (Coker 1991; Baker, *How to Play Bebop*, from memory). Over each chord
one of those that the line plays is taken, so that the path moves least and comes early (exact, by
dynamic programming); where a chord has none the path begins anew.
"""

from __future__ import annotations

from dataclasses import dataclass

from solowright.harmony.ground import Ground
from solowright.music.time import Time

THIRDS, SEVENTHS = (3, 4), (9, 10, 11)  # semitones in a chord's stack
CHOICE = 4  # guide tones of a chord that are weighed, the earliest
LATE = 0.5  # semitones that a beat's delay weighs


@dataclass(frozen=True, slots=True)
class GuideTone:
    """A third or seventh on the path: ``note`` is its place in the line, ``move`` the semitones from
    the one before, None where the path begins."""

    note: int
    time: Time
    chord: str
    degree: str
    move: int | None


def find_guide_tones(ground: Ground) -> tuple[GuideTone, ...]:
    """The path, chord by chord; chords without a guide tone in the line are left out."""
    by_span = _candidates(ground)
    rows: list[list[tuple[float, int | None]]] = []
    spans = list(by_span)
    for place, span in enumerate(spans):
        joined = place > 0 and spans[place - 1] == span - 1
        row: list[tuple[float, int | None]] = []
        for midi, late, _ in by_span[span]:
            if not joined:
                row.append((late, None))
                continue
            moves = [
                (cost + abs(midi - before[0]) + late, index)
                for index, ((cost, _), before) in enumerate(
                    zip(rows[-1], by_span[spans[place - 1]], strict=True)
                )
            ]
            row.append(min(moves))
        rows.append(row)
    return _follow(ground, spans, by_span, rows)


def _candidates(ground: Ground) -> dict[int, list[tuple[int, float, int]]]:
    """For every span (MIDI, lateness, place in the line) of the first guide tones that the line plays."""
    found: dict[int, list[tuple[int, float, int]]] = {}
    for event in ground.events:
        colours = ground.spans[event.span].colours
        if colours is None or len(found.get(event.span, ())) >= CHOICE:
            continue
        guides = {
            (colours.root + step) % 12
            for step in colours.stack
            if step in THIRDS or (step in SEVENTHS and len(colours.stack) > 3)
        }
        for place, midi in zip(event.notes, event.pitches, strict=True):
            if midi % 12 in guides:
                late = LATE * max(0, event.start - ground.spans[event.span].start) / ground.ticks
                found.setdefault(event.span, []).append((midi, late, place))
    return dict(sorted(found.items()))


def _follow(
    ground: Ground,
    spans: list[int],
    by_span: dict[int, list[tuple[int, float, int]]],
    rows: list[list[tuple[float, int | None]]],
) -> tuple[GuideTone, ...]:
    path: list[GuideTone] = []
    chosen: int | None = None
    for place in range(len(spans) - 1, -1, -1):
        if chosen is None:
            chosen = min(range(len(rows[place])), key=lambda index: rows[place][index][0])
        midi, _, note = by_span[spans[place]][chosen]
        before = rows[place][chosen][1]
        move = None if before is None else midi - by_span[spans[place - 1]][before][0]
        colours = ground.spans[spans[place]].colours
        assert colours is not None, "guide tones belong to a chord"
        onset = ground.tune.line.notes[note].onset
        path.append(GuideTone(note, onset, colours.chord.symbol, colours.names[midi % 12], move))
        chosen = before
    return tuple(reversed(path))
