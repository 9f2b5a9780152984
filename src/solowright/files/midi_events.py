"""What a Standard MIDI File holds, in quarters: notes by track, tempo, meters, key, markers.

Source: Standard MIDI Files 1.0 (format, division, meta events) and MIDI 1.0 (running status, RPN 0 for
the bend range, 2 semitones where it is not set). The bytes are taken apart by mido; whatever it
raises becomes one FileError with the byte where it stopped.
"""

from __future__ import annotations

import io
import re
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

import mido

from solowright.errors import FileError, InputError, Problem
from solowright.music.pitch import parse_tone
from solowright.music.time import ZERO, Meter, Time
from solowright.music.tune import Key

DRUMS = 9  # channel 10, counted from 0: percussion in General MIDI 1
DEFAULT_RANGE = 2.0  # semitones of pitch bend
_CENTRE = 8192
_LARGEST = 1 << 24  # bytes
_LAST_TICK = 1 << 34
# No quantity or text in a real file runs on so long with the top bit set; a damaged one may.
_NO_MIDI = re.compile(rb"[\x80-\xff]{4096}")


@dataclass(frozen=True, slots=True)
class Sounding:
    """A note as the file has it. ``wheel`` is the bend in semitones by time, from its start on."""

    start: Time
    end: Time
    midi: int
    velocity: int
    channel: int
    wheel: tuple[tuple[Time, float], ...] = ()


@dataclass(slots=True)
class Part:
    """What one player plays: a track, or in a format 0 file one channel."""

    name: str
    notes: list[Sounding]
    hanging: int = 0  # notes that the file never ends


@dataclass(slots=True)
class Song:
    """A file's contents. Meters and tempi are by time, in order; there may be none."""

    parts: list[Part] = field(default_factory=list)
    title: str = ""
    tempos: dict[Time, float] = field(default_factory=dict)
    meters: dict[Time, Meter] = field(default_factory=dict)
    markers: dict[Time, str] = field(default_factory=dict)
    key: Key | None = None
    drums: int = 0  # notes on the percussion channel


def read_song(data: bytes, file: str) -> Song:
    """The contents of a MIDI file of format 0 or 1. Raises FileError."""
    try:
        division, song_format = _read_header(data)
        stream = io.BytesIO(data)
        try:
            tracks = mido.MidiFile(file=stream, charset="latin1").tracks
        except Exception as error:  # mido raises whatever its parsing runs into
            raise InputError(_explain(error, stream.tell(), len(data))) from None
        song = Song()
        for number, track in enumerate(tracks):
            _read_track(song, list(_in_quarters(track, division)), number, song_format)
    except InputError as error:
        raise FileError((Problem(file, 0, 0, str(error)),)) from None
    return song


def _read_header(data: bytes) -> tuple[int, int]:
    """Ticks in a quarter, and the format, of what looks like a MIDI file."""
    if not data:
        raise InputError("the file is empty; name a MIDI file with notes in it")
    if data[:4] == b"RIFF":
        raise InputError("this is a RIFF file, not a plain MIDI file; save it as a Standard MIDI File (.mid)")
    if data[:4] != b"MThd":
        raise InputError("this is no MIDI file: it doesn't begin with MThd; name a Standard MIDI File (.mid)")
    if len(data) < 14:
        raise InputError(f"the file is cut off after {len(data)} bytes, inside its header; get a whole copy")
    if len(data) > _LARGEST or _NO_MIDI.search(data):
        raise InputError("the file is damaged, or far larger than a solo's MIDI file; save it anew")
    song_format, division = int.from_bytes(data[8:10]), int.from_bytes(data[12:14])
    if song_format > 1:
        raise InputError(f"format {song_format} holds loose patterns, not a song; save it as format 0 or 1")
    if division & 0x8000:
        raise InputError("its time is counted in film frames (SMPTE), not in beats; save it with beats")
    if not division:
        raise InputError("its header gives 0 ticks to a quarter note; save the file anew")
    return division, song_format


def _explain(error: Exception, position: int, size: int) -> str:
    if isinstance(error, EOFError) or position >= size:
        return f"the file is cut off: its tracks go on after the last of its {size} bytes; get a whole copy"
    cause = " ".join(str(error).split()) or type(error).__name__
    return f"byte {position}: {cause}; the file is damaged, save it anew"


def _in_quarters(track: Sequence[mido.Message], division: int) -> Iterator[tuple[Time, mido.Message]]:
    tick = 0
    for message in track:
        tick += message.time
        if tick > _LAST_TICK:
            raise InputError("its time runs over a week of music; the file is damaged, save it anew")
        yield Fraction(tick, division), message


def _read_track(
    song: Song, events: list[tuple[Time, mido.Message]], number: int, song_format: int
) -> None:
    name = ""
    for time, message in events:
        if message.type == "track_name" and not name:
            name = _text(message.name)
        elif message.is_meta:
            _read_meta(song, time, message)
    channels = _read_notes(events)
    song.drums += len(channels.pop(DRUMS).notes) if DRUMS in channels else 0
    if number == 0:
        song.title = name
    if song_format == 0:
        for channel, part in sorted(channels.items()):
            song.parts.append(Part(f"channel {channel + 1}", part.notes, part.hanging))
    elif channels:
        notes = sorted((note for part in channels.values() for note in part.notes), key=_by_start)
        song.parts.append(Part(name, notes, sum(part.hanging for part in channels.values())))


def _text(text: str) -> str:
    """Text that mido read as Latin-1, as UTF-8 where it is that."""
    try:
        return text.encode("latin-1").decode("utf-8").strip("\0 \n\r\t")
    except UnicodeDecodeError:
        return text.strip("\0 \n\r\t")


def _read_meta(song: Song, time: Time, message: mido.MetaMessage) -> None:
    if message.type == "set_tempo":
        if not message.tempo:
            raise InputError("a tempo of 0 microseconds a quarter; save the file anew")
        song.tempos[time] = round(60e6 / message.tempo, 2)  # a tempo is exact to a microsecond a quarter
    elif message.type == "time_signature":
        if not 1 <= message.numerator <= 64 or message.denominator > 64:
            raise InputError(f"a meter of {message.numerator}/{message.denominator}; save the file anew")
        song.meters[time] = Meter(message.numerator, message.denominator)
    elif message.type == "key_signature" and song.key is None:
        minor = message.key.endswith("m")
        song.key = Key(parse_tone(message.key.removesuffix("m")), minor)
    elif message.type in ("marker", "cue_marker") and _text(message.text):
        song.markers[time] = _text(message.text)


def _read_notes(events: list[tuple[Time, mido.Message]]) -> dict[int, Part]:
    """The notes of a track by channel. Notes of one pitch end in the order in which they began."""
    parts: dict[int, Part] = defaultdict(lambda: Part("", []))
    open_notes: dict[tuple[int, int], list[tuple[Time, int]]] = defaultdict(list)
    wheels: dict[int, list[tuple[Time, float]]] = defaultdict(list)
    ranges: dict[int, _BendRange] = defaultdict(_BendRange)

    def end_note(channel: int, midi: int, time: Time) -> None:
        start, velocity = open_notes[channel, midi].pop(0)
        parts[channel].notes.append(Sounding(start, time, midi, velocity, channel))

    last = ZERO
    for time, message in events:
        last = time
        if message.type == "note_on" and message.velocity:
            open_notes[message.channel, message.note].append((time, message.velocity))
        elif message.type in ("note_on", "note_off"):
            if open_notes[message.channel, message.note]:
                end_note(message.channel, message.note, time)
        elif message.type == "pitchwheel":
            semitones = message.pitch / _CENTRE * ranges[message.channel].semitones
            wheels[message.channel].append((time, semitones))
        elif message.type == "control_change":
            ranges[message.channel].take(message.control, message.value)
    hanging = [place for place, waiting in open_notes.items() for _ in waiting]
    for channel, midi in hanging:
        end_note(channel, midi, last)
        parts[channel].hanging += 1
    for channel, part in parts.items():
        part.notes = [_with_wheel(note, wheels[channel]) for note in sorted(part.notes, key=_by_start)]
    return parts


def _by_start(note: Sounding) -> tuple[Time, int]:
    return note.start, -note.midi


def _with_wheel(note: Sounding, wheel: list[tuple[Time, float]]) -> Sounding:
    """The note with the bend that it begins with and every change while it sounds."""
    if not wheel:
        return note
    before = [semitones for time, semitones in wheel if time <= note.start]
    inside = tuple(change for change in wheel if note.start < change[0] < note.end)
    moves = ((note.start, before[-1] if before else 0.0), *inside)
    return Sounding(note.start, note.end, note.midi, note.velocity, note.channel, moves)


@dataclass(slots=True)
class _BendRange:
    """The bend range of a channel, set by registered parameter 0 (controllers 101, 100, 6 and 38)."""

    semitones: float = DEFAULT_RANGE
    parameter: list[int] = field(default_factory=lambda: [127, 127])

    def take(self, control: int, value: int) -> None:
        if control in (100, 101):
            self.parameter[control - 100] = value
        elif control in (98, 99):  # a parameter of the maker's own
            self.parameter = [127, 127]
        elif self.parameter == [0, 0] and control == 6:
            self.semitones = float(value)
        elif self.parameter == [0, 0] and control == 38:
            self.semitones = int(self.semitones) + value / 100
