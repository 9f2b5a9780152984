"""A tune made over for practice: some bars again and again, or all of it in another key.

Both give a tune, which is played, fingered and engraved like any other.
"""

from __future__ import annotations

from dataclasses import replace

from solowright.errors import InputError
from solowright.music.chart import Bar, Chart, ChordAt, Section
from solowright.music.line import Line, Note, make_line
from solowright.music.time import ZERO, TempoMap, Time
from solowright.music.transpose import transpose
from solowright.music.tune import Tune
from solowright.sound.hands import TOP_FRET

MOST_TIMES = 999


def looped(tune: Tune, bars: tuple[int, int], times: int, preroll: int = 0) -> Tune:
    """``bars`` (as players number them) ``times`` over, after ``preroll`` bars that lead into them once.

    Tempo changes, hits and breaks come back with their bars; notes end with the last bar. A closing bar
    on the first chord is added, for the band to end on. Raises InputError for bars that aren't there.
    """
    chart = tune.chart
    first, last = (chart.index(number) for number in bars)
    lowest = 1 if chart.pickup else 0
    if not lowest <= first <= last < len(chart.bars):
        numbers = f"{chart.number(lowest)} and {chart.number(len(chart.bars) - 1)}"
        raise InputError(
            f"bars {bars[0]}-{bars[1]} can't be looped; give two bars in order between {numbers}"
        )
    if not 1 <= times <= MOST_TIMES:
        raise InputError(f"a loop can't go {times} times; give 1 to {MOST_TIMES}")
    lead = range(max(lowest, first - preroll), first)
    order = [*lead, *(index for _ in range(times) for index in range(first, last + 1))]
    copies, notes, tempos, now = [], [], [], ZERO
    for place, index in enumerate(order):
        start, end = chart.starts[index], chart.starts[index + 1]
        turns = place and index != order[place - 1] + 1
        run_end = chart.starts[last + 1] if index >= first else chart.starts[first]
        copies.append(_whole_chord(chart, index) if turns or not place else chart.bars[index])
        notes += [
            _moved(note, now - start, run_end) for note in tune.line.notes if start <= note.onset < end
        ]
        tempos += [(now, tune.tempo.at(start))]
        tempos += [(now + time - start, bpm) for time, bpm in tune.tempo.changes if start < time < end]
        now += end - start
    closing = replace(_whole_chord(chart, first), hits=(), pause=False, answered=False, answer=())
    section = Section("Loop", (*copies, closing))
    return replace(
        tune, chart=Chart((section,)), line=make_line(notes), tempo=TempoMap(tuple(_changes(tempos)))
    )


def _whole_chord(chart: Chart, index: int) -> Bar:
    """The bar with the chord that is held into it written out."""
    bar = chart.bars[index]
    if bar.chords and bar.chords[0].offset == 0:
        return bar
    return replace(bar, chords=(ChordAt(ZERO, chart.chord_at(chart.starts[index])), *bar.chords))


def _moved(note: Note, by: Time, end: Time) -> Note:
    return replace(note, onset=note.onset + by, duration=min(note.end, end) - note.onset)


def _changes(tempos: list[tuple[Time, float]]) -> list[tuple[Time, float]]:
    return [now for n, now in enumerate(tempos) if n == 0 or now[1] != tempos[n - 1][1]]


def transposed(tune: Tune, semitones: int) -> Tune:
    """The tune so many half steps higher, in the simplest key. Strings are kept where the neck allows;
    elsewhere, and for harmonics, the note is left to be fingered again. Raises InputError past an octave."""
    up = transpose(tune, semitones)
    pairs = zip(tune.line.notes, up.line.notes, strict=True)
    return replace(up, line=Line(tuple(_keep_string(old, new, semitones) for old, new in pairs)))


def _keep_string(old: Note, new: Note, semitones: int) -> Note:
    if old.fret is None or old.string is None or old.entry == "harmonic":
        return new
    fret = old.fret + semitones
    if not 0 <= fret <= TOP_FRET:
        return new
    return replace(new, string=old.string, fret=fret, finger=old.finger if old.fret and fret else None)
