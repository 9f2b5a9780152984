"""MIDI in: one part of a Standard MIDI File as a line over a chart.

The written rhythm is found by ``midi_grid``, what pitch bend means by ``midi_bends``. Without a chart
the bars are those of the file's meters (4/4 where it names none), without chords; its markers name the
sections. Ends of played notes are cleaned as a copyist would: a short gap before the next attack, or a
short overlap with it, is touch, not rhythm.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from itertools import pairwise

from solowright.errors import FileError, Problem
from solowright.files.midi_bends import read_bends
from solowright.files.midi_events import Part, Song, Sounding, read_song
from solowright.files.midi_graces import find_graces, main_onsets, with_graces
from solowright.files.midi_grid import (
    Written,
    beats_of,
    end_placer,
    find_feel,
    fits_exactly,
    is_exact,
    quantise,
)  # fmt: skip
from solowright.files.repeats import MAX_BARS
from solowright.music.chart import Bar, Chart, Section
from solowright.music.line import Line, Note, make_line
from solowright.music.pitch import Tone
from solowright.music.spelling import spell_note
from solowright.music.time import STRAIGHT, ZERO, Meter, TempoMap, Time
from solowright.music.tune import Key, Tune

_DEFAULT_TEMPO = 120.0  # Standard MIDI Files 1.0: where no tempo is set
_TOGETHER = 0.025  # seconds between the first and last note of a chord as played
_LATE = Fraction(1, 8)  # quarters by which a last note may ring over its bar
_TOUCH_SHARE, _TOUCH_SECONDS = Fraction(42, 100), 0.06  # gap, and overlap, that are only touch


def read_midi(
    data: bytes,
    file: str,
    chart: Chart | None = None,
    part: str | None = None,
    remarks: list[Problem] | None = None,
) -> Tune:
    """The line in a MIDI file, over ``chart`` where one is given.

    ``part`` is the number (from 1) or name of a part with notes; else the first is taken.
    ``remarks`` is filled with what was left out. Raises FileError.
    """
    song = read_song(data, file)
    chosen = _choose_part(song, file, part)
    found = [] if remarks is None else remarks
    found += [Problem(file, 0, 0, text) for text in _remarks(song, chosen, part)]
    tempo = _tempo_map(song)
    key = song.key or Key(Tone(0))
    exact = is_exact([note.start for note in chosen.notes], tempo)
    events = _strike_together(chosen.notes, tempo, exact)
    last = max(note.end for note in chosen.notes)
    if not exact:
        last = max(events[-1][0].start, last - _LATE)
    bars = _own_chart(song, last, file) if chart is None else _fit_chart(chart, events[-1][0].start, file)
    leads = find_graces(events)
    onsets = main_onsets(events, leads)
    feel = find_feel(onsets, beats_of(bars))
    main = quantise(onsets, bars, tempo, feel, exact)
    if exact and not fits_exactly(main.onsets, onsets, bars, feel):
        feel = STRAIGHT
        main = quantise(onsets, bars, tempo, feel, exact)
    written = with_graces(main, leads)
    place_end = end_placer(bars, feel, exact)
    line = _write_notes(events, written, place_end, bars, key, None if exact else tempo)
    return Tune(song.title, bars, line, key=key, feel=feel, tempo=tempo)


def _strike_together(notes: Sequence[Sounding], tempo: TempoMap, exact: bool) -> list[list[Sounding]]:
    """Notes in groups that are struck together: chords, as played or at exactly one time."""
    groups: list[list[Sounding]] = []
    for note in notes:
        first = groups[-1][0].start if groups else note.start
        gap = tempo.seconds(note.start) - tempo.seconds(first)
        if groups and gap <= (0 if exact else _TOGETHER):
            groups[-1].append(note)
        else:
            groups.append([note])
    return groups


def _choose_part(song: Song, file: str, wanted: str | None) -> Part:
    parts = song.parts
    names = ", ".join(f"{number} {part.name}".strip() for number, part in enumerate(parts, 1))
    if not parts:
        drums = " but drums" if song.drums else ""
        raise FileError((Problem(file, 0, 0, f"the file holds no notes{drums}; name one with a line"),))
    if wanted is None:
        return parts[0]
    for number, part in enumerate(parts, 1):
        if wanted == str(number) or wanted.strip().lower() == part.name.lower():
            return part
    raise FileError((Problem(file, 0, 0, f"no part '{wanted}' with notes; there are: {names}"),))


def _remarks(song: Song, chosen: Part, wanted: str | None) -> list[str]:
    found = []
    if len(song.parts) > 1 and wanted is None:
        names = ", ".join(f"{number} {part.name}".strip() for number, part in enumerate(song.parts, 1))
        found.append(f"of the parts {names} the first is read; choose another with --part")
    if song.drums:
        found.append(f"{song.drums} notes on the drum channel are left out")
    if chosen.hanging:
        found.append(f"{chosen.hanging} notes are never ended and last to the end of their track")
    return found


def _tempo_map(song: Song) -> TempoMap:
    return TempoMap(tuple(sorted(({ZERO: _DEFAULT_TEMPO} | song.tempos).items())))


# Charts


def _own_chart(song: Song, last: Time, file: str) -> Chart:
    """Bars without chords as the file's meters and markers say, up to the end of the last note."""
    changes = sorted(({ZERO: Meter()} | song.meters).items())
    bars: list[Bar] = []
    starts: list[Time] = []
    for index, (start, meter) in enumerate(changes):
        end = min(last, changes[index + 1][0]) if index + 1 < len(changes) else last
        final = index + 1 == len(changes) or changes[index + 1][0] >= last
        now = start
        while now < end:
            length = meter.length if final else min(meter.length, end - now)
            bars.append(Bar(meter, short=None if length == meter.length else length))
            starts.append(now)
            now += length
            if len(bars) > MAX_BARS:
                text = f"the file lasts more than {MAX_BARS} bars; a note is wrongly placed, save it anew"
                raise FileError((Problem(file, 0, 0, text),))
        if final:
            break
    return Chart(_sections(bars, starts, song.markers))


def _sections(bars: list[Bar], starts: list[Time], markers: dict[Time, str]) -> tuple[Section, ...]:
    """Sections from markers, each at the barline nearest to it."""
    names: dict[int, str] = {}
    for time, name in sorted(markers.items()):
        index = min(range(len(starts)), key=lambda i: abs(starts[i] - time), default=0)
        names.setdefault(index, name)
    edges = sorted({0, *names, len(bars)})
    return tuple(Section(names.get(first, ""), tuple(bars[first:end])) for first, end in pairwise(edges))


def _fit_chart(chart: Chart, last: Time, file: str) -> Chart:
    """The chart, where the ``last`` attack lies in it; a note that rings on is cut at its end."""
    if last > chart.length - _LATE:
        text = f"the line goes on after the chart's {len(chart.bars)} bars; lengthen the chart or cut it"
        raise FileError((Problem(file, 0, 0, text),))
    return chart


# Notes


def _write_notes(
    events: Sequence[list[Sounding]],
    written: Written,
    place_end: Callable[[Time, Time], Time],
    chart: Chart,
    key: Key,
    touch: TempoMap | None,
) -> Line:
    """The written notes; ``touch`` is the tempo where ends were played and need cleaning."""
    notes: list[Note] = []
    for index, sounding in enumerate(events):
        onset, step = written.onsets[index], written.steps[index]
        after = next((k for k in range(index + 1, len(events)) if written.onsets[k] > onset), None)
        for note in sounding:
            pitch = spell_note(note.midi, key, chart.chord_at(onset))
            if index in written.graces:
                notes.append(Note(pitch, onset, ZERO, spelled=False))
                continue
            end = max(place_end(note.end, step), onset + step)
            if after is not None and touch is not None:
                end = _clean_end(note, end, onset, written.onsets[after], events[after][0].start, touch)
            whole = Note(pitch, onset, min(end, chart.length) - onset, spelled=False)
            notes.append(read_bends(whole, note.wheel) if note.wheel else whole)
    return make_line([note for note in notes if note.grace or note.duration > 0])


def _clean_end(
    note: Sounding, end: Time, onset: Time, next_onset: Time, next_start: Time, tempo: TempoMap
) -> Time:
    """The end moved to the next attack where the gap or the overlap is only touch."""
    gap = next_start - note.end
    if 0 <= gap <= _TOUCH_SHARE * (next_start - note.start):
        return next_onset
    if gap < 0 and tempo.seconds(note.end) - tempo.seconds(next_start) <= _TOUCH_SECONDS:
        return next_onset
    return end
