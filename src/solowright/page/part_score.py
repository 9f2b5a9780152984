"""What each player of the band reads: the chart in their key and clef, with answers and guitar cues.

Rhythms the band strikes and beats it keeps are slashes; in breaks the guitar's line stands as small cue
notes, moved by octaves to lie on the staff. Answers with a written rhythm get notes: one voicing for all
parts, the one that ``sound`` plays. Which voice goes where is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import groupby, pairwise

from solowright.music.chart import Bar, Chart
from solowright.music.line import Line, Note, make_line
from solowright.music.notation import Symbol, notate
from solowright.music.pitch import at_midi, plain
from solowright.music.spelling import spell_note
from solowright.music.time import Time
from solowright.music.transpose import transpose
from solowright.music.tune import Tune
from solowright.music.voicing import BRASS_RANGE, voice

CUE_BARS = 2  # of a break, before the band comes in again


@dataclass(frozen=True, slots=True)
class Part:
    """A way of reading. ``semitones``: how much higher it is written than it sounds; ``clef`` and the
    MIDI number in the ``middle`` of its staff; ``voice``: which voice of an answer, from the top (0),
    from the lowest (-1), or None for all."""

    name: str
    title: str
    reads: str
    semitones: int = 0
    clef: str = "G"
    middle: int = 71
    voice: int | None = None


PARTS = (
    Part("concert", "Concert pitch", "Written as it sounds; answers with all their voices."),
    Part("b-flat", "B♭ instruments", "Sounds a whole step lower; answers: the top voice.", 2, voice=0),
    Part("e-flat", "E♭ instruments", "Sounds a major sixth lower; answers: the second voice.", 9, voice=1),
    Part("bass-clef", "Bass clef", "Written as it sounds; answers: the lowest voice.", 0, "F", 50, -1),
)  # fmt: skip


@dataclass(frozen=True)
class PartScore:
    """A part as a tune in the reader's key, ``steps`` of the scale above what sounds, whose line holds
    cues and answers.

    Bars are places in the chart: ``cues`` those with cue notes, ``slashes`` those with slashes alone, as
    symbols without notes, each with whether it is a slash (else a rest).
    """

    part: Part
    tune: Tune
    steps: int
    cues: frozenset[int]
    slashes: dict[int, tuple[tuple[Symbol, bool], ...]]


def write_part(tune: Tune, part: Part) -> PartScore:
    """A tune as one part of the band reads it. Raises InputError where a rhythm can't be written."""
    chart = tune.chart
    cues = frozenset(_cue_bars(tune))
    answers = [note for index in range(len(chart.bars)) for note in _answer(chart, tune, index, part.voice)]
    read = transpose(replace(tune, line=make_line([*_cue_notes(tune, cues), *answers])), part.semitones)
    read = replace(read, line=Line(tuple(_on_staff(read, cues, part))))
    answered = {chart.bar_index(note.onset) for note in answers}
    slashed = [
        index for index, bar in enumerate(chart.bars)
        if not bar.pause and index not in answered and not (chart.pickup and index == 0)
    ]  # fmt: skip
    steps = (read.key.tonic.letter - tune.key.tonic.letter) % 7
    return PartScore(part, read, steps, cues, {index: _slashes(tune, index) for index in slashed})


def _cue_bars(tune: Tune) -> Iterator[int]:
    """The last bars of every break in which the line plays."""
    bars = tune.chart.bars
    struck = {tune.chart.bar_index(note.onset) for note in tune.line.notes if not note.grace}
    for silent, group in groupby(range(len(bars)), key=lambda index: bars[index].pause):
        if silent:
            yield from [index for index in list(group)[-CUE_BARS:] if index in struck]


def _cue_notes(tune: Tune, cues: frozenset[int]) -> list[Note]:
    """The line in these bars as plain notes, none of them longer than its bar."""
    chart = tune.chart
    notes = []
    for note in tune.line.notes:
        bar = chart.bar_index(note.onset)
        if bar in cues and not note.grace and not note.dead:
            length = min(note.end, chart.starts[bar + 1]) - note.onset
            notes.append(Note(note.pitch, note.onset, length))
    return notes


def _answer(chart: Chart, tune: Tune, index: int, wanted: int | None) -> Iterator[Note]:
    """The written notes of a bar's answer, each as long as the beat it stands in has left."""
    bar, start = chart.bars[index], chart.starts[index]
    if bar.hits or bar.pause:
        return
    before: tuple[int, ...] = ()
    for offset, length in _lengths(bar, bar.answer):
        chord = chart.chord_at(start + offset)
        if chord is None:
            continue
        before = voice(chord, before, BRASS_RANGE)
        voices = before[::-1]
        kept = voices if wanted is None else (voices[min(wanted, len(voices) - 1)],)
        for midi in kept:
            yield Note(spell_note(midi, tune.key, chord), start + offset, length)


def _lengths(bar: Bar, offsets: tuple[Time, ...]) -> Iterator[tuple[Time, Time]]:
    """Each strike with its length: to the next one, but not past the beat it stands in."""
    pulse = bar.meter.pulse
    for offset, after in pairwise([*sorted(set(offsets)), bar.length]):
        beat_end = (offset // pulse + 1) * pulse
        yield offset, min(after, beat_end, bar.length) - offset


def _on_staff(tune: Tune, cues: frozenset[int], part: Part) -> Iterator[Note]:
    """The notes with each break's cues moved by octaves, so that their mean lies next to the middle line."""
    chart = tune.chart
    for bar, group in groupby(tune.line.notes, key=lambda note: _run(chart, cues, note)):
        notes = list(group)
        if bar is None:
            yield from notes
            continue
        mean = sum(note.pitch.midi for note in notes) / len(notes)
        octaves = round((part.middle - mean) / 12)
        for note in notes:
            yield replace(note, pitch=at_midi(note.pitch.tone, note.pitch.midi + 12 * octaves))


def _run(chart: Chart, cues: frozenset[int], note: Note) -> int | None:
    """The first bar of the cues that a note belongs to; None for an answer."""
    bar = chart.bar_index(note.onset)
    if bar not in cues:
        return None
    while bar - 1 in cues:
        bar -= 1
    return bar


def _slashes(tune: Tune, index: int) -> tuple[tuple[Symbol, bool], ...]:
    """The band's bar: what it strikes together as a rhythm, else a slash a beat."""
    bar, start = tune.chart.bars[index], tune.chart.starts[index]
    offsets = tuple(sorted({*bar.hits, *bar.answer}))
    if offsets:
        notes = [Note(plain(71), start + offset, length) for offset, length in _lengths(bar, offsets)]
        written = notate(replace(tune, line=make_line(notes)))[index]
        return tuple((replace(symbol, notes=()), bool(symbol.notes)) for symbol in written)
    pulse = min(bar.meter.pulse, bar.length)
    dotted = pulse == Time(3, 2)
    value = 4 if dotted else bar.meter.unit
    return tuple(
        (Symbol(start + beat * pulse, pulse, (), (), value, int(dotted)), True)
        for beat in range(int(bar.length / pulse))
    )
