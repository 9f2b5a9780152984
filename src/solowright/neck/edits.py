"""A line with notes changed or left out: what trades sound for ease, and how it is written.

An edit says for notes of the line, by index, what becomes of them; None leaves a note out. What a
left-out note leaves behind is filled by the note before, held on, and a written slur out of it falls.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from solowright.music.line import Note, make_line
from solowright.music.pitch import Pitch
from solowright.music.tune import Tune
from solowright.neck.moments import SLUR_KINDS
from solowright.neck.phrases import cut_phrases, group_moments

Kind = Literal["elsewhere", "slur", "tap", "plain", "hold", "thin", "leave-out", "octave"]

# What a change costs the ear; the least is taken that helps (assumed: a teacher's order).
LOSS: dict[Kind, float] = {
    "elsewhere": 1.0,  # another place, finger or way in than written
    "slur": 1.5,  # slurred where a stroke is written
    "plain": 2.0,  # without its grace note or trill
    "hold": 2.5,  # held instead of struck again
    "thin": 3.0,  # a chord without one of its notes
    "tap": 3.5,  # tapped by the picking hand
    "leave-out": 4.0,
    "octave": 6.0,
}
ON_BEAT = 2.0  # leaving out what falls on a beat, on top
IN_PASSING = -1.0  # leaving out what is only passed by step
STEP = 2  # semitones
WIDE, WIDEST_TAP = 5, 14  # semitones above its neighbours that make a note one to tap (assumed)
TAPS_APART = 3  # moments


@dataclass(frozen=True, slots=True)
class Edit:
    """One change: what becomes of notes, what it costs the ear, and the note it is about."""

    kind: Kind
    about: int
    loss: float
    notes: tuple[tuple[int, Note | None], ...]


def find_kept(tune: Tune) -> frozenset[int]:
    """Notes that always stay: the ends of phrases, and what is struck with a hit of the band."""
    notes, chart = tune.line.notes, tune.chart
    hits = {start + hit for start, bar in zip(chart.starts, chart.bars, strict=False) for hit in bar.hits}
    ends = {last for _, last in cut_phrases(tune)}
    kept: set[int] = set()
    for moment in group_moments(tune):
        if moment[-1] in ends or notes[moment[0]].onset in hits:
            kept |= set(moment)
    return frozenset(kept)


def apply_edits(tune: Tune, edits: tuple[Edit, ...]) -> tuple[Tune, tuple[int, ...]]:
    """The tune with edits made, and for each of its notes the index it had before."""
    changed = {index: note for edit in edits for index, note in edit.notes}
    rows: list[tuple[int, Note]] = []
    held: list[int] = []  # rows of the moment that sounds
    slur_falls = False
    for moment in group_moments(tune):
        old = [tune.line.notes[index] for index in moment]
        left = [(index, changed.get(index, note)) for index, note in zip(moment, old, strict=True)]
        kept = [(index, note) for index, note in left if note is not None]
        if not kept:
            end = max(note.end for note in old)
            for row in held:
                index, note = rows[row]
                if note.end >= old[0].onset and not note.staccato:
                    rows[row] = index, replace(note, duration=max(note.end, end) - note.onset)
            slur_falls = slur_falls or not old[0].grace
            continue
        if slur_falls:
            kept = [(index, free_slur(note)) for index, note in kept]
            slur_falls = False
        if not kept[0][1].grace:
            held = list(range(len(rows), len(rows) + len(kept)))
        rows += kept
    origin = {id(note): index for index, note in rows}
    line = make_line([note for _, note in rows])
    return replace(tune, line=line), tuple(origin[id(note)] for note in line.notes)


def free_slur(note: Note) -> Note:
    """The note without a written slur into it."""
    return replace(note, entry=None) if note.entry in SLUR_KINDS else note


def find_edits(
    tune: Tune, moments: tuple[tuple[int, ...], ...], at: int, kinds: frozenset[Kind], kept: frozenset[int]
) -> Iterator[Edit]:
    """Every change at one moment of a line that may help, unless it touches what is kept."""
    for edit in _edits(tune, moments, at):
        if edit.kind in kinds and not kept & {index for index, _ in edit.notes}:
            yield edit


def _edits(tune: Tune, moments: tuple[tuple[int, ...], ...], at: int) -> Iterator[Edit]:
    notes, moment = tune.line.notes, moments[at]
    yield from _easier_ways(tune, moment)
    if len(moment) > 1:
        inner = moment[1:-1] or moment[1:]  # the top is the tune, the bottom carries it
        for index in (*inner, *(each for each in moment[1:] if each not in inner)):
            yield Edit("thin", index, LOSS["thin"], ((index, None),))
        return
    (index,) = moment
    note = notes[index]
    graces = list(_graces_before(notes, index))
    if note.grace:
        yield Edit("plain", index, LOSS["plain"], ((index, None),))
        return
    if graces:
        yield Edit("plain", graces[0], LOSS["plain"], tuple((each, None) for each in graces))
    if at == 0:
        return
    before = notes[moments[at - 1][0]]
    out: tuple[tuple[int, Note | None], ...] = tuple((each, None) for each in (*graces, index))
    if before.pitch.midi == note.pitch.midi and before.end >= note.onset:
        yield Edit("hold", index, LOSS["hold"], out)
    else:
        after = notes[moments[at + 1][0]] if at + 1 < len(moments) else None
        yield Edit("leave-out", index, _loss_left_out(tune, before, note, after), out)
        for octaves in (-1, 1):
            moved = _by_octave(before, note, after, octaves)
            if moved:
                yield Edit("octave", index, LOSS["octave"], ((index, moved),))
        if after and at + 1 < len(moments) and len(moments[at + 1]) == 1:
            yield from _tap(notes, moments, at, (before, note, after))


def _easier_ways(tune: Tune, moment: tuple[int, ...]) -> Iterator[Edit]:
    """The same notes, freed of what is written about playing them; tapped; without a trill."""
    notes = tune.line.notes
    free = tuple(
        (index, free_slur(_free(notes[index])))
        for index in moment
        if (notes[index].string, notes[index].fret, notes[index].finger) != (None, None, None)
        or notes[index].entry in SLUR_KINDS
    )
    if free:
        yield Edit("elsewhere", moment[0], LOSS["elsewhere"], free)
    struck = [index for index in moment if notes[index].entry == "pick" or notes[index].stroke]
    if struck:
        slurred = tuple((index, replace(notes[index], entry=None, stroke=None)) for index in struck)
        yield Edit("slur", struck[0], LOSS["slur"], slurred)
    (first, *more) = moment
    note = notes[first]
    if note.trill and not more:
        yield Edit("plain", first, LOSS["plain"], ((first, replace(note, trill=0)),))


def _tap(
    notes: tuple[Note, ...], moments: tuple[tuple[int, ...], ...], at: int, around: tuple[Note, Note, Note]
) -> Iterator[Edit]:
    """A note out of the hand's reach above its neighbours, tapped, and pulled off to the next: on one
    string, as taps go. The picking hand needs time: no other tap close before."""
    before, note, after = around
    ways = (note.pitch.midi - before.pitch.midi, note.pitch.midi - after.pitch.midi)
    if not all(WIDE <= way <= WIDEST_TAP for way in ways) or any(each.dead or each.grace for each in around):
        return
    close = [notes[index] for moment in moments[max(0, at - TAPS_APART) : at] for index in moment]
    if any(each.entry == "tap" for each in close) or note.entry in ("tap", "harmonic"):
        return
    tapped = replace(_free(note), entry="tap", stroke=None)
    pulled = replace(_free(after), entry="pull", stroke=None)
    yield Edit("tap", moments[at][0], LOSS["tap"], ((moments[at][0], tapped), (moments[at + 1][0], pulled)))


def _free(note: Note) -> Note:
    """The note without its written place and finger."""
    return replace(note, string=None, fret=None, finger=None)


def _graces_before(notes: tuple[Note, ...], index: int) -> Iterator[int]:
    first = index
    while first and notes[first - 1].grace and notes[first - 1].onset == notes[index].onset:
        first -= 1
    yield from range(first, index)


def _loss_left_out(tune: Tune, before: Note, note: Note, after: Note | None) -> float:
    chart = tune.chart
    bar = chart.bar_index(note.onset)
    beat = (note.onset - chart.starts[bar] + chart.lead_in(bar)) / chart.bars[bar].meter.pulse
    loss = LOSS["leave-out"] + ON_BEAT * (beat.denominator == 1)
    ways = [note.pitch.midi - before.pitch.midi]
    if after:
        ways.append(after.pitch.midi - note.pitch.midi)
        if all(0 < way <= STEP for way in ways) or all(0 < -way <= STEP for way in ways):
            loss += IN_PASSING
    return loss


def _by_octave(before: Note, note: Note, after: Note | None, octaves: int) -> Note | None:
    """The note in another octave, where that makes the wider of its leaps smaller."""
    around = [each.pitch.midi for each in (before, after) if each]
    midi = note.pitch.midi + 12 * octaves
    widest = max(abs(note.pitch.midi - each) for each in around)
    if note.dead or note.entry == "harmonic" or max(abs(midi - each) for each in around) >= widest:
        return None
    pitch = Pitch(note.pitch.tone, note.pitch.octave + octaves)
    return replace(free_slur(_free(note)), pitch=pitch)
