"""The reading against what others publish: handbooks, music21, and common practice.

Sources stand beside each check. The handbook tables are those of upper-structure triads over
dominant, major and minor seventh chords (Levine, *The Jazz Piano Book*, upper structures; chapter
from memory), recomputed by enumeration.
"""

from __future__ import annotations

import pytest
from music21 import chord as m21chord
from music21 import harmony as m21harmony
from music21 import scale as m21scale

from solowright.harmony import read_line, upper_triads
from solowright.harmony.devices.superimposed import SEVENTHS
from solowright.music.chord import parse_chord
from solowright.music.pitch import parse_tone, plain
from solowright.music.scale import scale
from tests.harmony.tunes import type_tune

# Triads over a chord on C by name, with what they give; read as "II gives 9 #11 13".
DOMINANT = {
    "D": "9 #11 13", "Eb": "#9 5 b7", "Gb": "#11 b7 b9", "Ab": "b13 1 #9", "A": "13 b9 3",
    "Cm": "1 #9 5", "C#m": "b9 3 b13", "Ebm": "#9 #11 b7", "F#m": "#11 13 b9", "Gm": "5 b7 9", "Am": "13 1 3",
}  # fmt: skip
MAJOR = {"D": "9 #11 13", "G": "5 7 9", "Em": "3 5 7", "Am": "13 1 3", "Bm": "7 9 #11"}
MINOR = {"Eb": "b3 5 b7", "F": "11 13 1", "Bb": "b7 9 11", "Dm": "9 11 13", "Gm": "5 b7 9"}


@pytest.mark.parametrize(("symbol", "table"), [("C7", DOMINANT), ("Cmaj7", MAJOR), ("Cm7", MINOR)])
def test_upper_triads_are_those_of_the_handbooks(symbol: str, table: dict[str, str]) -> None:
    # Levine, The Jazz Piano Book; the sets by enumeration: no 11 or major seventh over a dominant, no
    # 11, b9, #9, b13 over a major seventh.
    found = {triad.name: " ".join(triad.degrees) for triad in upper_triads(parse_chord(symbol))}
    assert {name: degrees for name, degrees in found.items() if not name.endswith("dim")} == table
    assert {name for name in found if name.endswith("dim")} == ({"Edim"} if symbol == "C7" else set())


@pytest.mark.parametrize("root", ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"])
@pytest.mark.parametrize("kind", ["7", "maj7", "m7", "m7b5", "7b9"])
def test_upper_triads_are_real_triads_on_the_degrees_they_name(root: str, kind: str) -> None:
    # music21 10: its own chord symbols give the tones, its set classes the quality.
    chord = parse_chord(root + kind)
    classes = {"": "3-11B", "m": "3-11A", "dim": "3-10", "aug": "3-12"}
    for triad in upper_triads(chord):
        letters = triad.name.removesuffix("dim").removesuffix("aug").removesuffix("m")
        quality = triad.name.removeprefix(letters)
        symbol = m21harmony.ChordSymbol(letters.replace("b", "-") + quality)
        assert [p.pitchClass for p in symbol.pitches] == list(triad.pitch_classes)
        assert m21chord.Chord(list(triad.pitch_classes)).forteClass == classes[quality]
        for degree, pitch_class in zip(triad.degrees, triad.pitch_classes, strict=True):
            assert chord.tone(degree).pitch_class == pitch_class


@pytest.mark.parametrize("root", ["C", "Eb", "F#", "A"])
def test_half_whole_on_c_eb_gb_and_a_is_one_collection(root: str) -> None:
    # Forte 8-28, {0,1,3,4,6,7,9,10}: maps to itself at T0, T3, T6, T9 (by enumeration); music21's
    # octatonic scale in mode 1 is the half-whole one.
    octatonic = m21scale.OctatonicScale("C", 1).getPitches("C4", "B4")
    assert scale(parse_tone(root), "half-whole diminished").pitch_classes == {p.pitchClass for p in octatonic}


@pytest.mark.parametrize("root", ["C", "Eb", "Gb", "A"])
@pytest.mark.parametrize(("kind", "held"), [
    ("", True), ("m", True), ("dim", True), ("7", True), ("m7", True), ("m7b5", True), ("dim7", True),
    ("6", True), ("m6", True), ("7b5", True), ("7b9", True), ("7#9", True), ("7#11", True), ("13b9", True),
    ("aug", False), ("sus4", False), ("maj7", False), ("mMaj7", False), ("7sus4", False), ("7#5", False),
])  # fmt: skip
def test_what_the_half_whole_scale_on_c_contains(root: str, kind: str, held: bool) -> None:
    # By enumeration; Forte 8-28.
    tones = scale(parse_tone("C"), "half-whole diminished").pitch_classes
    assert (parse_chord(root + kind).pitch_classes <= tones) is held


@pytest.mark.parametrize("move", [0, 3, 6, 9])
def test_a_pattern_over_a_dominant_stays_in_the_scale_when_moved_by_minor_thirds(move: int) -> None:
    # By enumeration: T3 maps the collection to itself.
    line = " ".join(plain(midi + move).name for midi in (60, 61, 63, 64, 66, 67, 69, 70))
    (device,) = read_line(type_tune("C7b9", line)).devices
    assert device.facts["scale"] == "C half-whole diminished"


def degrees_heard(chart: str, line: str) -> list[str]:
    (device,) = read_line(type_tune(chart, line)).devices
    assert device.kind == "upper-triad"
    degrees = device.facts["degrees"]
    assert isinstance(degrees, list)
    return degrees


def test_what_a_working_soloist_states_about_triads() -> None:
    # Common practice, no source.
    assert degrees_heard("Am7", "C4 E4 G4") == ["b3", "5", "b7"]  # on the third of a minor seventh
    assert degrees_heard("A7", "F#4 A#4 C#5") == ["13", "b9", "3"]  # on the sixth of a dominant
    assert degrees_heard("Cmaj7", "E4 G4 B4") == ["3", "5", "7"]  # the chord without its bass
    # Major triads a minor third apart share one half-whole scale.
    tones = scale(parse_tone("C"), "half-whole diminished").pitch_classes
    assert all(parse_chord(root).pitch_classes <= tones for root in ("C", "Eb", "F#", "A"))


def test_the_half_whole_scale_resolves_down_a_fifth() -> None:
    # Common practice, no source: the scale over a dominant, then a chord tone of the chord a fifth below.
    reading = read_line(type_tune("G7b9 | Cmaj7", "G4 Ab4 Bb4 B4 C#5 D5 E5 F5 E5:2"))
    assert reading.devices[0].facts["scale"] == "G half-whole diminished"
    assert [reading.notes[target.note].degree for target in reading.targets][-1] == "3"


def test_chords_a_tritone_apart_share_third_and_seventh() -> None:
    # Levine, The Jazz Theory Book (tritone substitution; from memory), against music21's chord reader.
    for root, far in (("G7", "Db7"), ("C7", "Gb7"), ("F7", "B7")):
        common = parse_chord(root).pitch_classes & parse_chord(far).pitch_classes
        read = {p.pitchClass for p in m21harmony.ChordSymbol(root.replace("b", "-")).pitches}
        assert common == read & {p.pitchClass for p in m21harmony.ChordSymbol(far.replace("b", "-")).pitches}
        assert {parse_chord(root).degree_of(tone) for tone in common} == {"3", "b7"}
        assert {parse_chord(far).degree_of(tone) for tone in common} == {"3", "b7"}


@pytest.mark.parametrize("root", ["C", "E", "Ab"])
def test_superimposed_chords_are_the_seventh_chords_they_are_called(root: str) -> None:
    # music21 10, its own chord symbols; the half-diminished seventh is its "ø7", the diminished its "o7".
    spelled = {"7": "7", "maj7": "maj7", "m7": "m7", "m7b5": "ø7", "dim7": "o7"}
    base = parse_tone(root).pitch_class
    for shape, kind in SEVENTHS.items():
        symbol = m21harmony.ChordSymbol(root.replace("b", "-") + spelled[kind])
        assert {(base + step) % 12 for step in shape} == {p.pitchClass for p in symbol.pitches}


def test_the_diminished_seventh_on_the_third_of_a_dominant_is_its_flat_ninth() -> None:
    # Common practice, no source; the tones by music21's chord symbols.
    for root, third in (("G", "B"), ("C", "E"), ("A", "C#")):
        ninth = {p.pitchClass for p in m21harmony.ChordSymbol(f"{root}7b9").pitches}
        diminished = {p.pitchClass for p in m21harmony.ChordSymbol(f"{third}o7").pitches}
        assert ninth - diminished == {parse_tone(root).pitch_class}
        base = 60 + parse_tone(third).pitch_class
        notes = " ".join(plain(base + step).name for step in (0, 3, 6, 9))
        (device,) = read_line(type_tune(f"{root}7", notes)).devices
        assert (device.kind, device.facts["chords"]) == ("superimposed-chord", [f"{third}dim7"])


def test_the_half_step_link_of_the_trade() -> None:
    # Common practice, no source: between two minor sevenths a whole step apart, the one in the middle.
    line = "r:2 Eb5 C5 Bb4 G4 A4 F#4 D4 B3"
    devices = read_line(type_tune("C#m7 | Bm7", line)).devices
    assert [device.facts["through"] for device in devices if device.kind == "half-step-link"] == ["Cm7"]
