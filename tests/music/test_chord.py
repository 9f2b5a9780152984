"""Chord symbols: what they mean, how they are spelled, how wrong ones are answered."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from solowright.errors import InputError
from solowright.music.chord import chord_parts, parse_chord, transpose_chord
from solowright.music.pitch import Interval


@pytest.mark.parametrize(
    ("symbol", "tones"),
    [
        ("Gbm7", "Gb Bbb Db Fb"),
        ("C", "C E G"),
        ("C-", "C Eb G"),
        ("F#ø", "F# A C E"),
        ("C#m7b5", "C# E G B"),
        ("Bdim7", "B D F Ab"),
        ("B°7", "B D F Ab"),
        ("C+", "C E G#"),
        ("C6/9", "C E G A D"),
        ("C69", "C E G A D"),
        ("CΔ", "C E G B"),
        ("Dj7", "D F# A C#"),
        ("Am(maj7)", "A C E G#"),
        ("G13b9", "G B D F Ab E"),
        ("A7#9", "A C# E G B#"),
        ("Bb7(#11)", "Bb D F Ab E"),
        ("C7alt", "C E Bb Db D# F# Ab"),
        ("C9sus4", "C F G Bb D"),
        ("Cadd9", "C E G D"),
        ("C7no5", "C E Bb"),
        ("C7b9b13", "C E G Bb Db Ab"),
        ("C♯m7", "C# E G# B"),
        ("E♭maj7♯11", "Eb G Bb D A"),
        ("Csus", "C F G"),
        ("C5", "C G"),
    ],
)
def test_tones_are_spelled_from_the_root(symbol: str, tones: str) -> None:
    assert " ".join(tone.name for tone in parse_chord(symbol).tones) == tones


@pytest.mark.parametrize(
    ("symbol", "family"),
    [
        ("C6", "major"), ("Cm9", "minor"), ("C7alt", "dominant"), ("C+7", "dominant"),
        ("Cø", "half-diminished"), ("C°", "diminished"), ("C+", "augmented"),
        ("C9sus4", "suspended"), ("C-Δ", "minor-major"), ("C5", "power"),
    ],
)  # fmt: skip
def test_family(symbol: str, family: str) -> None:
    assert parse_chord(symbol).family == family


def test_slash_bass_and_triad_over_a_bass_note() -> None:
    first_inversion, upper = parse_chord("C/E"), parse_chord("Bb/C")
    assert first_inversion.bass and first_inversion.bass.name == "E"
    assert upper.pitch_classes == {10, 2, 5, 0}


@pytest.mark.parametrize(
    ("wrong", "meant"),
    [("Cmaaj7", "Cmaj7"), ("Cm7x", "Cm7"), ("Ebmaj77", "Ebmaj7"), ("F#7b99", "F#7b9"), ("Dmi7b", "Dm7b5")],
)
def test_an_unknown_symbol_names_the_one_meant(wrong: str, meant: str) -> None:
    with pytest.raises(InputError, match=f"'{meant}'"):
        parse_chord(wrong)


@pytest.mark.parametrize("wrong", ["", "H7", "/G", "x", "m7"])
def test_a_symbol_without_a_root_is_refused(wrong: str) -> None:
    with pytest.raises(InputError, match="root"):
        parse_chord(wrong)


@pytest.mark.parametrize(
    ("symbol", "printed"),
    [
        ("Bbm7b5", ("B♭", "m", "7♭5", "")),
        ("CΔ9", ("C", "", "maj9", "")),
        ("G13b9", ("G", "", "13♭9", "")),
        ("Dj7911#", ("D", "", "maj9♯11", "")),
        ("F#ø", ("F♯", "ø", "7", "")),
        ("C/Bb", ("C", "", "", "B♭")),
        ("Cm(maj7)", ("C", "m", "(maj7)", "")),
    ],
)
def test_printed_pieces(symbol: str, printed: tuple[str, str, str, str]) -> None:
    parts = chord_parts(parse_chord(symbol))
    assert (parts.root, parts.kind, parts.raised, parts.bass) == printed


def test_degree_names_follow_the_chord() -> None:
    dominant, minor = parse_chord("G7"), parse_chord("Am7")
    assert [dominant.degree_of(pc) for pc in (7, 8, 10, 11, 5, 4)] == ["1", "b9", "#9", "3", "b7", "13"]
    assert [minor.degree_of(pc) for pc in (0, 4, 7, 2)] == ["b3", "5", "b7", "11"]
    assert parse_chord("C+7").degree_of(8) == "#5"


SYMBOLS = st.builds(
    "{}{}{}".format,
    st.sampled_from("CDEFGAB"),
    st.sampled_from(["", "b", "#"]),
    st.sampled_from(
        ["", "m7", "maj7", "7b9", "13#11", "m7b5", "dim7", "7alt", "sus4", "6/9", "mMaj7", "7/E"],
    ),
)


INTERVALS = st.sampled_from([Interval(1, 2), Interval(2, 3), Interval(4, 7), Interval(-1, -1)])


@given(SYMBOLS, INTERVALS)
def test_transposing_moves_every_tone_and_reads_back(symbol: str, interval: Interval) -> None:
    chord = parse_chord(symbol)
    moved = transpose_chord(chord, interval)
    assert moved.pitch_classes == {(pc + interval.semitones) % 12 for pc in chord.pitch_classes}
    assert parse_chord(moved.symbol) == moved


@given(st.text(max_size=12))
def test_any_text_is_a_chord_or_one_clear_line(text: str) -> None:
    try:
        chord = parse_chord(text)
    except InputError as error:
        assert len(str(error).splitlines()) == 1
    else:
        assert chord.degrees[0] == "1"
