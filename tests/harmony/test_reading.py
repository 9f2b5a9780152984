"""What must hold of every reading, whatever the line."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.demo import bundled_tune
from solowright.harmony import Reading, read_line, reading_json
from solowright.harmony.devices.found import RELATIONS
from solowright.harmony.roles import Role
from solowright.music.chart import Bar, Chart, ChordAt, Section
from solowright.music.chord import parse_chord, transpose_chord
from solowright.music.line import Line, Note, make_line
from solowright.music.pitch import Interval, Tone, plain
from solowright.music.tune import Key, Tune
from tests.harmony.tunes import type_tune

SYMBOLS = "Cmaj7 Am7 G7 G7b9 Bm7b5 F6 D7 Cdim7 C7alt Gsus C/E"
CHORDS = (None, *map(parse_chord, SYMBOLS.split()))
MOVES = (Interval(1, 2), Interval(3, 5), Interval(2, 3), Interval(-2, -4), Interval(7, 12))
CORE = {"1", "2", "4", "6", "3", "5", "7", "b3", "b5", "#5", "b7", "bb7"}
VALUES = (Fraction(1, 4), Fraction(1, 3), Fraction(1, 2), Fraction(1), Fraction(2))


@st.composite
def tunes(draw: st.DrawFn) -> Tune:
    """Four bars of any chords under a line of any notes, rests and chords, steps likelier than leaps."""
    bars = tuple(
        Bar(chords=tuple(ChordAt(Fraction(4 * place, len(names)), name) for place, name in enumerate(names)))
        for names in draw(st.lists(st.lists(st.sampled_from(CHORDS), max_size=2), min_size=4, max_size=4))
    )
    notes, onset, midi = [], Fraction(0), 60
    for _ in range(draw(st.integers(0, 24))):
        midi = min(84, max(45, midi + draw(st.sampled_from((-7, -4, -3, -2, -1, -1, 0, 1, 1, 2, 3, 4, 5)))))
        value = draw(st.sampled_from(VALUES))
        if draw(st.integers(0, 6)):
            grace = not draw(st.integers(0, 9))
            notes.append(Note(plain(midi), onset, Fraction(0) if grace else value))
            if not grace and not draw(st.integers(0, 9)):
                notes.append(Note(plain(midi + 4), onset, value))
            value = Fraction(0) if grace else value
        onset += value
    key = Key(draw(st.sampled_from((Tone(0), Tone(4), Tone(6, -1)))), draw(st.booleans()))
    return Tune("", Chart((Section("A", bars),)), make_line(notes), key=key)


def shape(reading: Reading) -> object:
    """A reading without the names of its notes: what transposition may not change."""
    return (
        [(note.role, note.degree) for note in reading.notes],
        [(target.note, target.approach) for target in reading.targets],
        [(device.kind, device.start, device.end, device.notes) for device in reading.devices],
        [device.facts.get("degrees") for device in reading.devices],
        [str(device.facts.get("scale", "")).split(" ")[1:] for device in reading.devices],
        reading.unexplained,
    )


@settings(max_examples=120, deadline=None)
@given(tunes())
def test_every_note_has_one_role_and_devices_of_one_choice_never_overlap(tune: Tune) -> None:
    reading = read_line(tune)
    line = tune.line.notes
    assert len(reading.notes) == len(line)
    assert all(note.role in get_args(Role) for note in reading.notes)
    covered = {place for device in reading.devices for place in device.notes}
    assert covered <= set(range(len(line)))
    assert reading.unexplained == len(line) - len(covered)
    for related in (True, False):
        told = [device for device in reading.devices if (device.kind in RELATIONS) is related]
        assert all(first.end < second.start for first, second in pairwise(told))
    for device in reading.devices:
        assert device.saved > 0
        assert device.start == line[device.notes[0]].onset
        assert device.end == line[device.notes[-1]].onset


@settings(max_examples=120, deadline=None)
@given(tunes())
def test_chord_tones_and_only_they_stand_on_degrees_of_the_chord(tune: Tune) -> None:
    for note in read_line(tune).notes:
        if note.chord is None:
            assert note.role == "free"
            continue
        assert note.degree == note.chord.degree_of(note.pitch.midi)
        says = note.degree in note.chord.degrees and note.degree in CORE
        on_bass = note.chord.bass is not None and note.chord.bass.pitch_class == note.pitch.midi % 12
        if says or on_bass:
            assert note.role in ("chord-tone", "anticipation", "suspension")
        else:
            assert note.role not in ("chord-tone", "anticipation")


@settings(max_examples=80, deadline=None)
@given(tunes(), st.sampled_from(MOVES))
def test_transposing_the_tune_transposes_the_reading(tune: Tune, interval: Interval) -> None:

    def move(change: ChordAt) -> ChordAt:
        return replace(change, chord=change.chord and transpose_chord(change.chord, interval))

    bars = tuple(Bar(chords=tuple(map(move, bar.chords))) for bar in tune.chart.bars)
    moved = replace(
        tune,
        chart=Chart((Section("A", bars),)),
        line=make_line([replace(note, pitch=note.pitch.up(interval)) for note in tune.line.notes]),
        key=Key(tune.key.tonic.up(interval), tune.key.minor),
    )
    assert shape(read_line(moved)) == shape(read_line(tune))


@settings(max_examples=60, deadline=None)
@given(tunes(), st.sampled_from((-12, 12)))
def test_a_line_read_an_octave_away_is_the_same_line(tune: Tune, octave: int) -> None:
    away = Interval(octave // 12 * 7, octave)
    notes = [replace(note, pitch=note.pitch.up(away)) for note in tune.line.notes]
    assert shape(read_line(replace(tune, line=make_line(notes)))) == shape(read_line(tune))


@settings(max_examples=80, deadline=None)
@given(tunes())
def test_the_answer_is_plain_json_as_promised(tune: Tune) -> None:
    answer = json.loads(json.dumps(reading_json(tune, read_line(tune)), allow_nan=False))
    assert set(answer) == {
        "notes", "targets", "devices", "unexplained", "sentences", "statements", "guide_tones", "sections",
        "summary",
    }  # fmt: skip
    for note in answer["notes"]:
        assert set(note) == {"bar", "beat", "midi", "name", "chord", "role", "degree"}
    for target in answer["targets"]:
        assert set(target) == {"bar", "beat", "name", "chord", "degree", "approach"}
    for device in answer["devices"]:
        assert set(device) == {"kind", "from", "to", "facts", "short", "sentence", "runner_up"}
        assert (device["from"]["bar"], device["from"]["beat"]) <= (device["to"]["bar"], device["to"]["beat"])


def test_the_answer_for_a_triad_over_a_minor_seventh() -> None:
    tune = type_tune("Am7", "C4 E4 G4", value=1)
    answer = reading_json(tune, read_line(tune))
    assert answer["devices"] == [
        {
            "kind": "upper-triad",
            "from": {"bar": 1, "beat": 1.0},
            "to": {"bar": 1, "beat": 3.0},
            "facts": {"triad": "C", "over": "Am7", "degrees": ["b3", "5", "b7"], "character": "rootless"},
            "short": "C over Am7",
            "sentence": "Bar 1: a C major triad over Am7 gives ♭3, 5 and ♭7, the chord without its root.",
            "runner_up": [],
        }
    ]
    assert answer["notes"][0] == {
        "bar": 1, "beat": 1.0, "midi": 60, "name": "C4", "chord": "Am7", "role": "chord-tone", "degree": "b3",
    }  # fmt: skip


def test_sentences_keep_to_the_order_of_time_and_speak_of_bars_played() -> None:
    tune = type_tune("Dm7 | G7 | Cmaj7", "D4 F4 A4 C5 B4 A4 G4 F4 B4 D5 F5 Ab5 G5 F5 D5 Eb5 E5:2")
    reading = read_line(tune)
    starts = [sentence.start for sentence in reading.sentences]
    assert starts == sorted(starts)
    assert reading.sentences[-1].text == (
        "Bars 2–3: F, D and E♭ surround E, the third of Cmaj7."
    )


def test_where_a_phrase_lands_is_told_in_words() -> None:
    reading = read_line(type_tune("G7 | Cmaj7", "F4 D4 B3 D4 F4 A4 F4 D4 E4:2", key="C"))
    assert reading.sentences[-1].text == (
        "The phrase lands on E, the third of Cmaj7 (bar 2, beat 1), from a whole step below."
    )


def test_a_chart_without_a_line_is_read_as_nothing() -> None:
    reading = read_line(type_tune("C", "r:4"))
    assert (reading.notes, reading.devices, reading.sentences, reading.unexplained) == ((), (), (), 0)


@settings(max_examples=120, deadline=None)
@given(tunes())
def test_every_text_is_printed_whole_and_tied_to_bars(tune: Tune) -> None:
    reading = read_line(tune)
    texts = [sentence.text for sentence in reading.sentences]
    for text in texts:
        assert re.match(r"Bars? \d|The phrase lands .*\(bar \d", text), text
    for text in [*texts, *(section.text for section in reading.sections), reading.summary]:
        assert not re.search(r"None(?! of)|#|  |\[|one times|\b[A-G]b\b", text), text
        assert not text or text.endswith(".")


@settings(max_examples=60, deadline=None)
@given(tunes())
def test_scores_of_statements_lie_between_nothing_and_all(tune: Tune) -> None:
    for statement in read_line(tune).statements:
        assert 0 <= statement.score <= 1
        assert 0 <= statement.chord_tones <= 1
        if statement.stated:
            assert statement.guide_tones


@settings(max_examples=60, deadline=None)
@given(tunes())
def test_guide_tones_are_thirds_and_sevenths_in_order_of_time(tune: Tune) -> None:
    reading = read_line(tune)
    times = [guide.time for guide in reading.guide_tones]
    assert times == sorted(times)
    for guide in reading.guide_tones:
        assert guide.degree in ("3", "b3", "7", "b7", "bb7")
        assert reading.notes[guide.note].degree == guide.degree


@settings(max_examples=150, deadline=None)
@given(tunes(), st.data())
def test_a_reading_after_an_edit_is_the_reading_of_the_new_tune(tune: Tune, data: st.DataObject) -> None:
    before = read_line(tune)
    edited = data.draw(edits(tune))
    after = read_line(edited, before.search)
    assert after == read_line(edited)
    assert read_line(tune, after.search) == before


def test_the_chord_behind_a_phrase_has_its_say_in_it() -> None:
    """Am7b5 before the chart's own Am7b5 says that chord early; before F7 it is one of the line's own."""
    before, after = (type_tune(f"Cmaj7 | {chord}", "r:2 A4 C5 Eb5 G5") for chord in ("Am7b5", "F7"))
    assert read_line(before).devices != read_line(after).devices
    assert read_line(after, read_line(before).search) == read_line(after)


def test_whether_someone_spelled_the_notes_has_its_say() -> None:
    """Roots of shapes are named as the line spells them, or else by the chord."""
    before = type_tune("C7 | C7", "E4 G#4 B4 F4 A4 C5 F#4 A#4 C#5")
    notes = tuple(replace(note, spelled=False) for note in before.line.notes)
    after = replace(before, line=Line(notes))
    assert read_line(before).devices != read_line(after).devices
    assert read_line(after, read_line(before).search) == read_line(after)


@pytest.mark.parametrize("place", range(0, 32, 3))
def test_a_chord_or_a_bar_more_in_a_whole_solo_leaves_nothing_of_what_was(place: int) -> None:
    tune = bundled_tune()
    before, bars = read_line(tune), tune.chart.bars
    chords = (ChordAt(Fraction(0), CHORDS[place % len(CHORDS)]),)
    other = (*bars[:place], replace(bars[place], chords=chords), *bars[place + 1 :])
    for edited in (
        replace(tune, chart=Chart((Section("A", other),))),
        insert_bar(tune, place),
    ):
        assert read_line(edited, before.search) == read_line(edited)


def insert_bar(tune: Tune, place: int) -> Tune:
    """The tune with an empty bar more, behind which all comes later."""
    bars, start = tune.chart.bars, tune.chart.starts[place]
    more = (*bars[:place], replace(bars[place], chords=(), hits=()), *bars[place:])
    notes = [
        replace(note, onset=note.onset + bars[place].length * (note.onset >= start))
        for note in tune.line.notes
    ]
    return replace(tune, chart=Chart((Section("A", more),)), line=make_line(notes))


@st.composite
def edits(draw: st.DrawFn, tune: Tune) -> Tune:
    """The tune with one note moved, lengthened, left out or marked, another chord or key, or a bar more."""
    notes = list(tune.line.notes)
    kinds = ("pitch", "length", "out", "mark", "chord", "key", "hit", "bar", "unspelled")
    kind = draw(st.sampled_from(kinds))
    if kind == "key":
        return replace(tune, key=Key(Tone(3), True))
    if kind == "bar":
        return insert_bar(tune, draw(st.integers(0, len(tune.chart.bars) - 1)))
    if kind in ("chord", "hit") or not notes:
        bars = list(tune.chart.bars)
        place = draw(st.integers(0, len(bars) - 1))
        chord = ChordAt(Fraction(0), draw(st.sampled_from(CHORDS)))
        change = {"hits": (Fraction(0), Fraction(1))} if kind == "hit" else {"chords": (chord,)}
        bars[place] = replace(bars[place], **change)  # type: ignore[arg-type]
        return replace(tune, chart=Chart((Section("A", tuple(bars)),)))
    place = draw(st.integers(0, len(notes) - 1))
    note = notes[place]
    if kind == "pitch":
        notes[place] = replace(note, pitch=plain(note.pitch.midi + draw(st.integers(-3, 3))))
    elif kind == "length" and not note.grace:
        notes[place] = replace(note, duration=note.duration * draw(st.sampled_from((Fraction(1, 2), 2, 3))))
    elif kind == "unspelled":
        notes = [replace(note, spelled=False) for note in notes]
    elif kind == "mark":
        notes[place] = replace(note, entry="harmonic", slurred=True, trill=1)
    else:
        del notes[place]
    return replace(tune, line=make_line(notes))
