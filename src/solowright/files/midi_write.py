"""MIDI out: the line as it sounds, swing and all, in a Standard MIDI File of format 1.

Track 1 holds tempo, meters, key and the sections' names as markers, track 2 the line. Pitch bend with
a range of an octave (RPN 0) makes bends, slides and vibrato; where notes carry strings, each string
has its channel, so that a bend moves its own string only. Grace notes come before the beat. A
slurred note is struck softer than a picked one: how much is our assumption, no source.
"""

from __future__ import annotations

import io
from collections.abc import Iterable
from fractions import Fraction
from itertools import pairwise

import mido

from solowright.files.midi_bends import BEND_RANGE, Curve, bend_curve, needs_bend
from solowright.files.midi_events import DRUMS
from solowright.files.midi_graces import GRACE
from solowright.music.line import Note
from solowright.music.time import ZERO, Time
from solowright.music.tune import Tune

TICKS = 960  # a quarter: holds triplets, sextuplets, sixty-fourths and triplet swing exactly
_PROGRAM = 27  # General MIDI 1, electric guitar (clean), counted from 0; from memory
_VELOCITY, _ACCENT, _SOFT, _MUTED = 96, 116, 72, 64
_SLURS = ("hammer", "pull", "slide", "tap")
_TRILL = Fraction(1, 8)  # quarters a note of a trill
_HIGHEST_TEMPO = (1 << 24) - 1  # microseconds a quarter that three bytes hold

# At one tick: notes end, then the bend is set, then notes begin.
_OFF, _WHEEL, _ON = 0, 1, 2
Event = tuple[int, int, mido.Message]


def write_midi(tune: Tune) -> bytes:
    """The tune's line as the bytes of a MIDI file."""
    end = _tick(tune.chart.length)
    tracks = [_track(_conductor(tune), end), _track(_line(tune), end)]
    stream = io.BytesIO()
    mido.MidiFile(type=1, ticks_per_beat=TICKS, tracks=tracks, charset="utf-8").save(file=stream)
    return stream.getvalue()


def _tick(time: Time) -> int:
    return round(time * TICKS)


def _track(events: Iterable[Event], end: int) -> mido.MidiTrack:
    """Events with absolute ticks as a track."""
    track, now = mido.MidiTrack(), 0
    for tick, _, message in sorted(events, key=lambda event: event[:2]):
        track.append(message.copy(time=tick - now))
        now = tick
    track.append(mido.MetaMessage("end_of_track", time=max(0, end - now)))
    return track


# Track 1


def _conductor(tune: Tune) -> list[Event]:
    chart = tune.chart
    messages: list[tuple[Time, mido.MetaMessage]] = []
    if tune.title:
        messages.append((ZERO, mido.MetaMessage("track_name", name=tune.title)))
    for time, bpm in tune.tempo.changes:
        tempo = min(_HIGHEST_TEMPO, max(1, round(60e6 / bpm)))
        messages.append((time, mido.MetaMessage("set_tempo", tempo=tempo)))
    before: tuple[int, int] | None = None
    for start, bar in zip(chart.starts, chart.bars, strict=False):
        meter = _written_meter(bar.length) if bar.short is not None else (bar.meter.beats, bar.meter.unit)
        if meter and meter != before:
            beats, unit = before = meter
            message = mido.MetaMessage("time_signature", numerator=beats, denominator=unit)
            messages.append((start, message))
    if abs(tune.key.fifths) <= 7:
        messages.append((ZERO, mido.MetaMessage("key_signature", key=tune.key.name)))
    for index, name in chart.section_starts:
        if name and index < len(chart.bars):
            messages.append((chart.starts[index], mido.MetaMessage("marker", text=name)))
    return [(_tick(time), _OFF, message) for time, message in messages]


def _written_meter(length: Time) -> tuple[int, int] | None:
    """The meter of a bar of that length, for a pickup or a cut bar; None where there is none."""
    quarters = Fraction(length, 4)
    unit = max(4, quarters.denominator)
    if unit & (unit - 1) or unit > 64:
        return None
    return int(quarters * unit), unit


# Track 2


def _line(tune: Tune) -> list[Event]:
    notes = tune.line.notes
    sliding = _glides(notes)
    by_string = any(needs_bend(note) for note in notes) or bool(sliding)
    strings = by_string and all(note.string for note in notes)
    channels = {note: _channel(note, strings, needs_bend(note) or note in sliding) for note in notes}
    events: list[Event] = [
        (0, _OFF, message) for channel in sorted({0, *channels.values()}) for message in _set_up(channel)
    ]
    for note, start, end in _sounding(tune):
        events += _strike(note, channels[note], _tick(start), max(_tick(end), _tick(start) + 1))
        if note.grace or not (needs_bend(note) or note in sliding):
            continue
        quarter_seconds = 60 / tune.tempo.at(note.onset)
        curve = bend_curve(note, start, end, quarter_seconds, sliding.get(note, 0))
        events += _bend(curve, channels[note], _tick(end))
    return events


def _glides(notes: tuple[Note, ...]) -> dict[Note, int]:
    """Notes reached by a slide from the note before, and the semitones they slide from."""
    found = {}
    for before, note in pairwise(notes):
        distance = before.pitch.midi - note.pitch.midi
        if note.entry == "slide" and before.onset < note.onset and 0 < abs(distance) <= BEND_RANGE:
            found[note] = distance
    return found


def _channel(note: Note, strings: bool, bent: bool) -> int:
    if not strings:
        return int(bent)
    channel = (note.string or 1) - 1
    return channel if channel < DRUMS else min(channel + 1, 15)


def _set_up(channel: int) -> list[mido.Message]:
    """Program, bend range (RPN 0, then the null parameter) and the wheel at rest."""
    controls = ((101, 0), (100, 0), (6, BEND_RANGE), (38, 0), (101, 127), (100, 127))
    return [
        mido.Message("program_change", channel=channel, program=_PROGRAM),
        *(mido.Message("control_change", channel=channel, control=c, value=v) for c, v in controls),
        mido.Message("pitchwheel", channel=channel, pitch=0),
    ]


def _sounding(tune: Tune) -> list[tuple[Note, Time, Time]]:
    """Every note with the straight times between which it sounds; grace notes before their beat."""
    found = []
    for event in tune.line.events():
        for note in event:
            start, end = tune.played(note.onset), tune.played(note.end)
            if note.staccato:
                end = start + (end - start) / 2
            found.append((note, start, end))
    graces: list[int] = []
    for index, (note, start, _) in enumerate(found):
        if note.grace:
            graces.append(index)
            continue
        # Before the tune's start there is no time: there the main note comes late instead.
        first = max(ZERO, start - len(graces) * GRACE)
        for place, grace in enumerate(graces):
            found[grace] = (found[grace][0], first + place * GRACE, first + (place + 1) * GRACE)
        if graces and first + len(graces) * GRACE > start:
            _, _, end = found[index]
            start = first + len(graces) * GRACE
            found[index] = (note, start, max(end, start + GRACE))
        graces = []
    for place, grace in enumerate(graces):
        note, start, _ = found[grace]
        found[grace] = (note, start + place * GRACE, start + (place + 1) * GRACE)
    return found


def _strike(note: Note, channel: int, start: int, end: int) -> list[Event]:
    velocity = _SOFT if note.entry in _SLURS or note.slurred else _VELOCITY
    velocity = _MUTED if note.dead else _ACCENT if note.accent else velocity
    pitches = [(start, end, note.pitch.midi)]
    if note.trill:
        step = _tick(_TRILL)
        edges = [*range(start, end, step), end]
        pitches = [
            (a, b, min(127, note.pitch.midi + (note.trill if place % 2 else 0)))
            for place, (a, b) in enumerate(pairwise(edges))
        ]
    events: list[Event] = []
    for first, last, midi in pitches:
        on = mido.Message("note_on", channel=channel, note=midi, velocity=velocity)
        off = mido.Message("note_off", channel=channel, note=midi, velocity=0)
        events += [(first, _ON, on), (last, _OFF, off)]
        velocity = _SOFT
    return events


def _bend(curve: Curve, channel: int, end: int) -> list[Event]:
    """Bend messages along a curve, and the wheel back at rest when the note ends."""
    values = [(_tick(time), round(value / BEND_RANGE * 8192)) for time, value in curve] + [(end, 0)]
    return [
        (tick, _WHEEL, mido.Message("pitchwheel", channel=channel, pitch=max(-8192, min(8191, value))))
        for tick, value in values
    ]
