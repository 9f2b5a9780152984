"""MIDI out and in: round trips, played rhythm, what damaged files say."""

from __future__ import annotations

import io
import random
import re
from fractions import Fraction

import mido
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.errors import FileError, Problem
from solowright.files.midi import read_midi, write_midi
from solowright.files.midi_grid import find_feel
from solowright.music.chart import Bar, Chart, ChordAt, Section
from solowright.music.chord import parse_chord
from solowright.music.line import Bend, Note, make_line
from solowright.music.pitch import Tone, parse_pitch, plain
from solowright.music.time import STRAIGHT, SWING, Feel, Meter, TempoMap, steady
from solowright.music.tune import Key, Tune

BARS = Chart((Section("", (Bar(),) * 8),))
MIXED = Chart(
    (Section("A", (Bar(Meter(6, 8)), Bar(Meter(3, 4)))), Section("B", (Bar(Meter(7, 8)), Bar()), 2))
)


def tune_of(notes: list[Note], chart: Chart = BARS, **rest: object) -> Tune:
    return Tune("", chart, make_line(notes), **rest)  # type: ignore[arg-type]


def back(tune: Tune) -> Tune:
    return read_midi(write_midi(tune), "x.mid", tune.chart)


def rhythm(tune: Tune) -> list[tuple[int, Fraction, Fraction]]:
    return [(note.pitch.midi, note.onset, note.duration) for note in tune.line.notes]


def midi_file(*tracks: list[mido.Message], song_format: int = 1, ticks: int = 480) -> bytes:
    stream = io.BytesIO()
    made = [mido.MidiTrack(track) for track in tracks]
    mido.MidiFile(type=song_format, ticks_per_beat=ticks, tracks=made).save(file=stream)
    return stream.getvalue()


def on(note: int, time: int = 0, channel: int = 0, velocity: int = 90) -> mido.Message:
    return mido.Message("note_on", note=note, time=time, channel=channel, velocity=velocity)


def off(note: int, time: int = 0, channel: int = 0) -> mido.Message:
    return mido.Message("note_off", note=note, time=time, channel=channel)


def problem_of(data: bytes, **rest: object) -> str:
    with pytest.raises(FileError) as caught:
        read_midi(data, "x.mid", **rest)  # type: ignore[arg-type]
    assert "\n" not in str(caught.value)
    return str(caught.value)


@st.composite
def lines(draw: st.DrawFn) -> Tune:
    """Single notes and chords on sixteenths and triplets, no two of a pitch at once."""
    chart = draw(st.sampled_from([BARS, MIXED]))
    notes: list[Note] = []
    now = Fraction(0)
    while now < chart.length and len(notes) < 24:
        step = draw(st.sampled_from([Fraction(1, 4), Fraction(1, 3)]))
        now = Fraction(-(-now // 1)) if step.denominator == 3 else now  # triplets begin on a beat
        for _ in range(3 if step.denominator == 3 else draw(st.integers(1, 4))):
            duration = step * draw(st.integers(1, 3))
            end = min(now + duration, chart.length)
            if now < end:
                pitches = draw(st.sets(st.integers(40, 88), max_size=3))
                notes += [Note(plain(midi), now, end - now) for midi in pitches]
            now += duration
        now = Fraction(-(-now // step)) * step if step.denominator == 4 else Fraction(-(-now // 1))
    return tune_of(notes, chart, tempo=steady(draw(st.integers(40, 300))))


@settings(max_examples=120, deadline=None)
@given(lines())
def test_pitch_onset_and_length_come_back(tune: Tune) -> None:
    if not tune.line.notes:
        assert "no notes" in problem_of(write_midi(tune))
        return
    read = back(tune)
    if read.feel.straight:
        for there, here in zip(rhythm(read), rhythm(tune), strict=True):
            assert there == here
    else:  # eighths two to one sound as swing does; the sound is the same
        assert [read.played(note.onset) for note in read.line.notes] == [
            note.onset for note in tune.line.notes
        ]


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from([SWING, Feel(Fraction(3, 2))]),
    st.lists(st.sampled_from([2, 3, 1]), min_size=8, max_size=16),
)
def test_swung_eighths_come_back_as_written(feel: Feel, beats: list[int]) -> None:
    beats = [2, 2, 2, 2, 2, 2] + beats[:10] + [2] * 6
    parts = [
        (Fraction(beat) + Fraction(k, n), Fraction(1, n)) for beat, n in enumerate(beats) for k in range(n)
    ]
    tune = tune_of(
        [Note(plain(60 + i % 5), onset, length) for i, (onset, length) in enumerate(parts)], feel=feel
    )
    read = back(tune)
    assert read.feel == feel
    assert rhythm(read) == rhythm(tune)


FIGURES = ["0 1/2", "0 1/4 1/2 3/4", "0 1/3 2/3", "0", "0 1/4 1/2", "0 1/2 3/4", "1/2"]


@pytest.mark.parametrize("tempo", [80, 120, 150])
@pytest.mark.parametrize("seed", range(8))
def test_a_player_twenty_milliseconds_off_is_read_right(tempo: int, seed: int) -> None:
    chance = random.Random(seed)
    onsets = [
        beat + Fraction(place)
        for beat in range(32)
        for place in chance.choice(FIGURES).split()
    ]  # fmt: skip
    messages, events = [], []
    for i, (onset, after) in enumerate(zip(onsets, [*onsets[1:], onsets[-1] + 1], strict=True)):
        start = max(0.0, float(onset) * 60 / tempo + chance.uniform(-0.02, 0.02))
        held = float(after - onset) * 60 / tempo * chance.uniform(0.75, 0.95)
        events += [(start, on(60 + i % 7)), (start + held, off(60 + i % 7))]
    now = 0
    for seconds, message in sorted(events, key=lambda event: event[0]):
        tick = round(seconds * tempo / 60 * 480)
        messages.append(message.copy(time=tick - now))
        now = tick
    data = midi_file([mido.MetaMessage("set_tempo", tempo=round(60e6 / tempo)), *messages])
    read = read_midi(data, "x.mid", BARS)
    assert [note.onset for note in read.line.notes] == onsets
    assert [note.end for note in read.line.notes][:-1] == onsets[1:]
    assert read.feel == STRAIGHT


def test_swing_is_found_in_a_played_line_and_not_in_dotted_rhythm() -> None:
    chance = random.Random(1)
    from solowright.files.midi_grid import beats_of

    swung = [Fraction(beat) + late for beat in range(24)
             for late in (Fraction(0), Fraction(66, 100) + Fraction(chance.randint(-4, 4), 100))]  # fmt: skip
    dotted = [Fraction(beat) + late for beat in range(24) for late in (Fraction(0), Fraction(3, 4))]
    assert find_feel(swung, beats_of(BARS)) == SWING
    assert find_feel(dotted, beats_of(BARS)) == STRAIGHT


def test_bends_slides_vibrato_and_graces_come_back() -> None:
    def up(semitones: int, kind: str = "bend") -> Bend:
        return Bend(Fraction(semitones), kind)  # type: ignore[arg-type]

    notes = [
        Note(plain(64), Fraction(0), Fraction(1), string=1, bends=(up(2), up(0, "release"))),
        Note(plain(60), Fraction(1), Fraction(1), string=2, bends=(up(1, "prebend"), up(0, "release"))),
        Note(plain(60), Fraction(2), Fraction(2), string=2, vibrato=True),
        Note(plain(55), Fraction(4), Fraction(1), string=3, slide_from=-2),
        Note(plain(55), Fraction(5), Fraction(1), string=3, slide_to=-5),
        Note(plain(61), Fraction(6), Fraction(0), string=2),
        Note(plain(62), Fraction(6), Fraction(1), string=2),
        Note(plain(40), Fraction(7), Fraction(1), string=6),
    ]
    read = back(tune_of(notes))
    kept = [
        (n.pitch.midi, n.onset, n.duration, n.bends, n.vibrato, n.slide_from, n.slide_to)
        for n in read.line.notes
    ]
    assert kept == [
        (n.pitch.midi, n.onset, n.duration, n.bends, n.vibrato, n.slide_from, n.slide_to) for n in notes
    ]


def test_each_string_bends_alone() -> None:
    notes = [
        Note(plain(64), Fraction(0), Fraction(1), string=1),
        Note(plain(57), Fraction(0), Fraction(1), string=3, bends=(Bend(Fraction(2)),)),
    ]
    sent = mido.MidiFile(file=io.BytesIO(write_midi(tune_of(notes)))).tracks[1]
    bent = {message.channel for message in sent if message.type == "pitchwheel" and message.pitch}
    assert bent == {2}
    assert {(m.channel, m.note) for m in sent if m.type == "note_on"} == {(0, 64), (2, 57)}
    highest = max(message.pitch for message in sent if message.type == "pitchwheel")
    assert highest == round(2 / 12 * 8192)


def test_header_facts_come_back() -> None:
    notes = [Note(parse_pitch("Db4"), Fraction(0), Fraction(1))]
    tempo = TempoMap(((Fraction(0), 186.0), (Fraction(8), 92.5)))
    key = Key(Tone(5, -1), minor=True)
    notes.append(Note(plain(60), Fraction(15), Fraction(1)))
    tune = Tune("Änderung ♭", MIXED, make_line(notes), key=key, tempo=tempo)
    read = read_midi(write_midi(tune), "x.mid")
    assert (read.title, read.key, read.tempo) == (tune.title, key, tempo)
    assert [bar.meter for bar in read.chart.bars] == [bar.meter for bar in MIXED.bars][:5]
    assert [name for _, name in read.chart.section_starts] == ["A", "B", "B"]
    assert read.line.notes[0].pitch.name == "Db4"


def test_spelling_follows_the_chart() -> None:
    bars = (
        Bar(chords=(ChordAt(Fraction(0), parse_chord("Gbm7")),)),
        Bar(chords=(ChordAt(Fraction(0), parse_chord("D7")),)),
    )
    chart = Chart((Section("", bars),))
    data = midi_file([on(57), off(57, 1920), on(54), off(54, 1920)])
    assert [note.pitch.name for note in read_midi(data, "x.mid", chart).line.notes] == ["Bbb3", "F#3"]


def test_parts_drums_and_hanging_notes() -> None:
    lead = [mido.MetaMessage("track_name", name="Lead"), on(64), off(64, 480)]
    bass = [mido.MetaMessage("track_name", name="Bass"), on(40), off(40, 480), on(41)]
    drums = [on(36, channel=9), off(36, 480, channel=9)]
    data = midi_file(lead, bass, drums)
    remarks: list[Problem] = []
    assert rhythm(read_midi(data, "x.mid", remarks=remarks)) == [(64, 0, 1)]
    assert ["first is read" in remarks[0].text, "drum" in remarks[1].text] == [True, True]
    assert rhythm(read_midi(data, "x.mid", part="bass"))[0] == (40, 0, 1)
    assert rhythm(read_midi(data, "x.mid", part="2", remarks=remarks))[0] == (40, 0, 1)
    assert "never ended" in remarks[-1].text
    assert "1 Lead, 2 Bass" in problem_of(data, part="Horn")
    assert "no notes but drums" in problem_of(midi_file(drums))


def test_format_0_has_a_part_for_each_channel() -> None:
    data = midi_file([on(64), on(40, channel=1), off(64, 480), off(40, channel=1)], song_format=0)
    assert rhythm(read_midi(data, "x.mid")) == [(64, 0, 1)]
    assert rhythm(read_midi(data, "x.mid", part="channel 2")) == [(40, 0, 1)]


def test_running_status_and_note_on_without_velocity() -> None:
    body = bytes([0, 0x90, 64, 90, 0x83, 0x60, 64, 0, 0, 65, 90, 0x83, 0x60, 65, 0, 0, 0xFF, 0x2F, 0])
    header = b"MThd" + bytes([0, 0, 0, 6, 0, 0, 0, 1, 1, 0xE0])
    data = header + b"MTrk" + len(body).to_bytes(4) + body
    assert rhythm(read_midi(data, "x.mid")) == [(64, 0, 1), (65, 1, 1)]


def test_notes_of_one_pitch_end_in_the_order_they_began() -> None:
    data = midi_file([on(64), on(64, 480), off(64, 240), off(64, 480)])
    assert rhythm(read_midi(data, "x.mid")) == [(64, 0, Fraction(3, 2)), (64, 1, Fraction(3, 2))]


def test_ends_of_notes_that_never_began_make_no_part() -> None:
    assert "no notes" in problem_of(midi_file([off(64), off(65, 480)]))


def test_a_note_of_no_length_gets_one_step() -> None:
    assert rhythm(read_midi(midi_file([on(64), off(64), on(65, 480), off(65, 480)]), "x.mid"))[0][2] > 0


GOOD = write_midi(tune_of([Note(plain(60), Fraction(i, 2), Fraction(1, 2)) for i in range(8)]))


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "empty"),
        (b"\0" * 40, "MThd"),
        (b"RIFF" + GOOD, "RIFF"),
        (GOOD[:10], "cut off"),
        (GOOD[:60], "cut off"),
        (GOOD[:-5], "cut off"),
        (GOOD[:9] + b"\2" + GOOD[10:], "format 2"),
        (GOOD[:12] + b"\xe7\x28" + GOOD[14:], "SMPTE"),
        (GOOD[:12] + b"\0\0" + GOOD[14:], "0 ticks"),
        (write_midi(tune_of([])), "no notes"),
        (midi_file([on(60), off(60, 40_000_000), on(61), off(61, 40_000_000)]), "bars"),
        (GOOD[:22] + b"\xff" * 5000 + GOOD[22:], "damaged"),
    ],
)
def test_what_is_no_song_is_one_clear_line(data: bytes, says: str) -> None:
    assert says in problem_of(data)


def test_damage_inside_names_the_byte() -> None:
    broken = GOOD.replace(b"\x90\x3c\x60", b"\x90\xfc\x60", 1)
    assert broken != GOOD
    assert re.search(r"byte \d+: data byte", problem_of(broken))


def test_more_music_than_the_chart_is_an_error() -> None:
    short = Chart((Section("", (Bar(),)),))
    assert "after the chart's 1 bars" in problem_of(midi_file([on(60, 480 * 9), off(60, 480)]), chart=short)


@settings(max_examples=300, deadline=None)
@given(st.data())
def test_only_file_errors_come_out_of_damaged_files(data: st.DataObject) -> None:
    damaged = bytearray(GOOD)
    for _ in range(data.draw(st.integers(1, 6))):
        damaged[data.draw(st.integers(0, len(damaged) - 1))] = data.draw(st.integers(0, 255))
    cut = (
        bytes(damaged[: data.draw(st.integers(0, len(damaged)))])
        if data.draw(st.booleans())
        else bytes(damaged)
    )
    chart = data.draw(st.sampled_from([None, BARS]))
    try:
        tune = read_midi(cut, "x.mid", chart)
    except FileError as error:
        assert "\n" not in str(error)
    else:
        assert all(0 <= n.onset <= n.end <= tune.chart.length for n in tune.line.notes)
