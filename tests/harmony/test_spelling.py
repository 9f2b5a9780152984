"""Spelling where the source gives none: it follows the harmony, and what the player wrote stays."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings

from solowright.demo import bundled_tune
from solowright.files.midi import read_midi, write_midi
from solowright.harmony import read_spelled
from solowright.music.line import Line
from solowright.music.spelling import spell_note
from solowright.music.tune import Tune
from tests.harmony.test_reading import tunes
from tests.harmony.tunes import type_tune


def heard(tune: Tune) -> Tune:
    """The tune as MIDI has it: spelled by chord and key, for want of better."""
    notes = [
        replace(
            note,
            pitch=spell_note(note.pitch.midi, tune.key, tune.chart.chord_at(note.onset)),
            spelled=False,
        )
        for note in tune.line.notes
    ]
    return replace(tune, line=Line(tuple(notes)))


def names(chart: str, line: str, key: str = "C") -> list[str]:
    tune = heard(type_tune(chart, line, key=key))
    return [note.pitch.name for note in read_spelled(tune)[0].line.notes]


def test_a_chromatic_note_is_spelled_towards_its_goal() -> None:
    assert names("Cmaj7", "G4 G#4 A4 Ab4 G4") == ["G4", "G#4", "A4", "Ab4", "G4"]
    assert names("Cmaj7 | Dm7", "E4 G4 C4 C#4 D4:1", key="C")[3] == "C#4"
    assert names("Cmaj7", "A4 F#4 G4")[1] == "F#4"


def test_a_chord_of_the_lines_own_is_spelled_as_that_chord() -> None:
    link = "r:2 C5 Bb4 G4 Eb4 D4:1"
    assert names("C#m7 | Bm7", link, key="A") == ["C5", "Bb4", "G4", "Eb4", "D4"]
    assert names("C7", "Gb4 Bb4 Db5 Gb5") == ["Gb4", "Bb4", "Db5", "Gb5"]


def test_a_note_ahead_of_the_change_is_spelled_as_in_its_chord() -> None:
    assert names("Cmaj7 | Abmaj7", "r:7/2 G#4:2", key="C") == ["Ab4"]


def test_a_written_spelling_stays() -> None:
    tune = type_tune("Cmaj7", "G4 Ab4 A4")
    assert read_spelled(tune)[0] is tune


@settings(max_examples=80, deadline=None)
@given(tunes())
def test_the_sound_is_never_touched_and_a_second_time_changes_nothing(tune: Tune) -> None:
    before = heard(tune)
    after = read_spelled(before)[0]
    assert [note.pitch.midi for note in after.line.notes] == [note.pitch.midi for note in before.line.notes]
    assert read_spelled(after)[0] is after


def test_tablature_gives_no_spelling_but_where_names_stand() -> None:
    spelled = {note.pitch.name for note in bundled_tune().line.notes if note.spelled}
    assert spelled == {"Bb4", "Eb4", "Ab4", "Db4", "Bb3"}  # the names rows of its sheet


def test_the_demo_without_its_names_is_spelled_as_its_writer_spelled_it() -> None:
    tune = bundled_tune()
    bare = heard(tune)
    assert bare.line.notes != tune.line.notes
    after = read_spelled(bare)[0].line.notes
    assert [note.pitch.name for note in after] == [note.pitch.name for note in tune.line.notes]


def test_midi_gives_no_spelling() -> None:
    tune = type_tune("Cmaj7", "G4 G#4 A4")
    read = read_midi(write_midi(tune), "a.mid", chart=tune.chart)
    assert not any(note.spelled for note in read.line.notes)
