"""Chords, scales and pitches against sources outside the project; each check names its own."""

from __future__ import annotations

import csv
import gzip

import music21
import pytest

from solowright.music.chord import NO_CHORD, parse_chord
from solowright.music.pitch import parse_pitch, parse_tone
from solowright.music.scale import scale
from tests.data import data_folder

UP = music21.scale.Direction.ASCENDING


def _music21_name(name: str) -> str:
    return name.replace("-", "b")


# Source: music21's own reading of chord symbols (music21.harmony.ChordSymbol), figures in its syntax.
# Left out where it follows another convention: a 13 over a major third keeps the 11 there, and we
# drop it (common practice, no source).
@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        ("C", "C"), ("Cm", "Cm"), ("Gbm7", "G-m7"), ("F#m7", "F#m7"), ("Ebmaj7", "E-maj7"), ("A7", "A7"),
        ("Bdim", "Bdim"), ("C#dim7", "C#o7"), ("F#ø", "F#ø7"), ("Bbm7b5", "B-ø7"), ("C+", "C+"),
        ("G+7", "G+7"),
        ("D6", "D6"), ("Dm6", "Dm6"), ("E9", "E9"), ("Em9", "Em9"), ("Amaj9", "AM9"), ("Ab11", "A-11"),
        ("Cm11", "Cm11"), ("CmMaj7", "CmM7"), ("Dsus4", "Dsus4"), ("Dsus2", "Dsus2"), ("G7sus4", "G7sus4"),
        ("C7b9", "C7 add b9"), ("C7#9", "C7 add #9"), ("C7#11", "C7 add #11"), ("F7b5", "F7 alter b5"),
        ("Db7", "D-7"), ("C/E", "C/E"), ("Am7/G", "Am7/G"), ("Cm13", "Cm13"),
    ],
)  # fmt: skip
def test_chord_tones_and_spelling_agree_with_music21(ours: str, theirs: str) -> None:
    chord = parse_chord(ours)
    names = {tone.name for tone in chord.tones} | ({chord.bass.name} if chord.bass else set())
    reference = music21.harmony.ChordSymbol(theirs)
    assert names == {_music21_name(pitch.name) for pitch in reference.pitches}


def test_every_chord_label_of_the_solo_corpus_is_understood() -> None:
    """Source: the labels of the Weimar Jazz Database (ODbL); 365 different ones in this part of it."""
    labels = set()
    for name in ("notes.csv.gz", "beats.csv.gz"):
        with gzip.open(data_folder("wjd") / name, "rt") as rows:
            labels |= {row["chord"] for row in csv.DictReader(rows)}
    chords = {label: parse_chord(label) for label in labels - set(NO_CHORD)}
    assert len(chords) > 300
    assert chords["Bb79b"].degrees == ("1", "3", "5", "b7", "b9")  # its accidentals follow the number
    assert all(label.startswith(chord.root.name) for label, chord in chords.items())


# Source: music21.scale (its classes, and its scale archive by the names given).
@pytest.mark.parametrize(
    ("name", "theirs"),
    [
        ("ionian", music21.scale.MajorScale), ("dorian", music21.scale.DorianScale),
        ("phrygian", music21.scale.PhrygianScale), ("lydian", music21.scale.LydianScale),
        ("mixolydian", music21.scale.MixolydianScale), ("aeolian", music21.scale.MinorScale),
        ("locrian", music21.scale.LocrianScale), ("harmonic minor", music21.scale.HarmonicMinorScale),
        ("melodic minor", music21.scale.MelodicMinorScale), ("whole tone", music21.scale.WholeToneScale),
    ],
)  # fmt: skip
@pytest.mark.parametrize("tonic", ["C", "F#", "Bb", "E"])
def test_scales_sound_as_in_music21(name: str, theirs: type, tonic: str) -> None:
    reference = theirs(tonic.replace("b", "-"))
    rising = reference.getPitches(f"{tonic.replace('b', '-')}4", f"{tonic.replace('b', '-')}5", direction=UP)
    assert scale(parse_tone(tonic), name).pitch_classes == {pitch.pitchClass for pitch in rising}


@pytest.mark.parametrize(
    ("name", "parent", "degree"),
    [
        ("dorian b2", "melodic minor", 2), ("lydian augmented", "melodic minor", 3),
        ("lydian dominant", "melodic minor", 4), ("mixolydian b6", "melodic minor", 5),
        ("locrian natural 2", "melodic minor", 6), ("altered", "melodic minor", 7),
        ("locrian natural 6", "harmonic minor", 2), ("ionian #5", "harmonic minor", 3),
        ("dorian #4", "harmonic minor", 4), ("phrygian dominant", "harmonic minor", 5),
        ("lydian #2", "harmonic minor", 6), ("altered bb7", "harmonic minor", 7),
    ],
)  # fmt: skip
def test_modes_hold_the_notes_of_their_parent(name: str, parent: str, degree: int) -> None:
    """Source: music21's melodic (ascending) and harmonic minor scales, begun on another degree."""
    minor = music21.scale.MelodicMinorScale if parent == "melodic minor" else music21.scale.HarmonicMinorScale
    reference = minor("C").getPitches("C4", "C5", direction=UP)
    root = parse_tone(_music21_name(reference[degree - 1].name))
    assert scale(root, name).pitch_classes == {pitch.pitchClass for pitch in reference}


def test_pentatonics_are_five_fifths_in_a_row() -> None:
    """Source: music21's pitches and intervals; the pentatonic as a chain of fifths is common practice."""
    chain = [music21.pitch.Pitch("C4")]
    for _ in range(4):
        chain.append(chain[-1].transpose("P5"))
    fifths = {pitch.pitchClass for pitch in chain}
    assert scale(parse_tone("C"), "major pentatonic").pitch_classes == fifths
    assert scale(parse_tone("A"), "minor pentatonic").pitch_classes == fifths
    blues = scale(parse_tone("A"), "blues").pitch_classes
    assert blues - fifths == {music21.pitch.Pitch("E-4").pitchClass}  # the flat five between 4 and 5


def test_half_whole_diminished_on_c() -> None:
    """Source: Forte 8-28, the octatonic collection {0,1,3,4,6,7,9,10}; music21's OctatonicScale."""
    ours = scale(parse_tone("C"), "half-whole diminished").pitch_classes
    assert ours == {0, 1, 3, 4, 6, 7, 9, 10}
    assert music21.chord.Chord(sorted(ours)).forteClass == "8-28"
    other = scale(parse_tone("Db"), "whole-half diminished").pitch_classes
    assert other == ours


def test_midi_numbers_and_frequencies() -> None:
    """Source: MIDI 1.0 (60 is middle C) and ISO 16:1975 (A4 = 440 Hz); the open strings in hertz."""
    assert parse_pitch("C4").midi == 60 and parse_pitch("A4").hertz == 440.0
    strings = {"E2": 82.41, "A2": 110.00, "D3": 146.83, "G3": 196.00, "B3": 246.94, "E4": 329.63}
    for name, hertz in strings.items():
        assert parse_pitch(name).hertz == pytest.approx(hertz, abs=0.005)
    assert [parse_pitch(name).midi for name in strings] == [40, 45, 50, 55, 59, 64]
