from __future__ import annotations

import pytest

from solowright.errors import InputError
from solowright.music.chord import parse_chord
from solowright.music.pitch import degree_interval, parse_tone
from solowright.music.scale import SCALES, scale, scales_over


@pytest.mark.parametrize(
    ("name", "tones"),
    [
        ("half-whole diminished", "D Eb E# F# G# A B C"),
        ("altered", "D Eb E# F# Ab A# C"),
        ("blues", "D F G Ab A C"),
        ("bebop dominant", "D E F# G A B C C#"),
        ("minor pentatonic", "D F G A C"),
    ],
)
def test_scales_are_spelled_for_a_reader(name: str, tones: str) -> None:
    assert " ".join(tone.name for tone in scale(parse_tone("D"), name).tones) == tones


def test_every_scale_rises_within_an_octave_and_none_stands_twice() -> None:
    for kind in SCALES:
        steps = [degree_interval(degree).semitones for degree in kind.degrees]
        assert steps == sorted(set(steps)) and steps[0] == 0 and steps[-1] < 12
    assert len({kind.name for kind in SCALES}) == len(SCALES)


def test_an_unknown_scale_is_refused() -> None:
    with pytest.raises(InputError, match="no scale 'spanish'"):
        scale(parse_tone("C"), "spanish")


# What a soloist reaches for first (common practice, no source).
@pytest.mark.parametrize(
    ("symbol", "first"),
    [
        ("Cmaj7", "ionian"), ("Cmaj7#11", "lydian"), ("Dm7", "dorian"), ("G7", "mixolydian"),
        ("G7#11", "lydian dominant"), ("G13b9", "half-whole diminished"), ("G7alt", "altered"),
        ("G7b9b13", "phrygian dominant"), ("G+7", "whole tone"), ("Bm7b5", "locrian"),
        ("Bdim7", "whole-half diminished"), ("CmMaj7", "melodic minor"), ("G7sus4", "mixolydian"),
        ("C7#9b13", "altered"), ("D/C", "mixolydian"), ("Am/F", "aeolian"), ("C/Bb", "mixolydian"),
        ("Cmaj7#9", "lydian #2"),
    ],
)  # fmt: skip
def test_the_usual_scale_comes_first(symbol: str, first: str) -> None:
    chord = parse_chord(symbol)
    found = scales_over(chord)
    assert found[0].kind.name == first
    assert {scale.root for scale in found} == {chord.root}
