"""Devices planted by a generator, over any chord in any key, are found again where they were put."""

from __future__ import annotations

from fractions import Fraction

import pytest
from benchmarks.planting import PLANTERS, score
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.harmony import Device, read_line, upper_triads
from solowright.music.chart import Bar, Chart, ChordAt, Section
from solowright.music.chord import Chord, parse_chord
from solowright.music.line import Note, make_line
from solowright.music.pitch import plain
from solowright.music.scale import scales_over
from solowright.music.tune import Tune

ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
KINDS = ("7", "maj7", "m7", "m7b5", "7b9", "m6", "dim7", "mMaj7", "13", "7sus4")
chords = st.sampled_from([parse_chord(root + kind) for root in ROOTS for kind in KINDS])
ways = st.sampled_from((1, -1))
LOW = 52


def play(chord: Chord, midi: list[int]) -> list[Device]:
    """The devices of one phrase of eighths over one chord, a beat into the bar."""
    notes = [Note(plain(pitch), 1 + Fraction(place, 2), Fraction(1, 2)) for place, pitch in enumerate(midi)]
    bars = (Bar(chords=(ChordAt(Fraction(0), chord),)), Bar(), Bar())
    return list(read_line(Tune("", Chart((Section("A", bars),)), make_line(notes))).devices)


def ladder(pitch_classes: frozenset[int] | set[int]) -> list[int]:
    return [midi for midi in range(LOW, 100) if midi % 12 in pitch_classes]


def climb(steps: list[int], start: int, count: int, way: int) -> list[int]:
    return steps[start : start + count][::way]


@settings(max_examples=100, deadline=None)
@given(chords, st.integers(0, 5), st.integers(4, 7), ways)
def test_arpeggios_are_found(chord: Chord, start: int, count: int, way: int) -> None:
    core = {chord.tone(degree).pitch_class for degree in chord.degrees if int(degree.lstrip("b#")) <= 7}
    line = climb(ladder(core), start, count, way)
    (device,) = play(chord, line)
    assert (device.kind, len(device.notes)) == ("chord-arpeggio", count)
    assert device.facts["degrees"] == [chord.degree_of(midi) for midi in line]


@settings(max_examples=100, deadline=None)
@given(chords, st.data(), st.integers(0, 4), st.integers(4, 6), ways)
def test_upper_triads_are_found(chord: Chord, data: st.DataObject, start: int, count: int, way: int) -> None:
    triad = data.draw(st.sampled_from(upper_triads(chord)))
    (device,) = play(chord, climb(ladder(set(triad.pitch_classes)), start, count, way))
    assert (device.kind, len(device.notes)) == ("upper-triad", count)
    assert (device.facts["triad"], device.facts["degrees"]) == (triad.name, list(triad.degrees))


@settings(max_examples=100, deadline=None)
@given(chords, st.data(), st.integers(0, 6), st.integers(8, 12), ways)
def test_scale_runs_are_found_and_named(
    chord: Chord, data: st.DataObject, start: int, count: int, way: int
) -> None:
    full = [found for found in scales_over(chord) if len(found.tones) == 7 or "diminished" in found.name]
    if not full:
        return
    scale = data.draw(st.sampled_from(full))
    devices = play(chord, climb(ladder(scale.pitch_classes), start, count, way))
    (device,) = devices
    assert (device.kind, len(device.notes)) == ("scale-run", count)
    assert device.facts["scale"] == scale.name
    assert device.facts["direction"] == ("up" if way > 0 else "down")


@settings(max_examples=60, deadline=None)
@given(chords, st.integers(LOW, 75), st.integers(5, 12), ways)
def test_chromatic_runs_are_found(chord: Chord, start: int, count: int, way: int) -> None:
    (device,) = play(chord, climb(list(range(start, start + count)), 0, count, way))
    assert (device.kind, len(device.notes)) == ("chromatic-run", count)


@settings(max_examples=60, deadline=None)
@given(chords, st.sampled_from(((2, -1), (1, -1), (-1, 2))), st.integers(0, 2))
def test_enclosures_are_found(chord: Chord, around: tuple[int, int], start: int) -> None:
    core = {chord.tone(degree).pitch_class for degree in ("1", "5") if degree in chord.degrees}
    target = ladder(core)[start]
    devices = play(chord, [target + around[0], target + around[1], target])
    said = {chord.degree_of(target + away) in chord.degrees for away in around}
    assert said == {True} or [device.kind for device in devices] == ["enclosure"]


@settings(max_examples=60, deadline=None)
@given(chords, st.sampled_from((-4, -3, -2, -1, 1, 2, 3, 4)), st.permutations((0, 4, 9)), st.integers(3, 5))
def test_moved_shapes_are_found(chord: Chord, interval: int, shape: tuple[int, ...], times: int) -> None:
    line = [64 + step + interval * count for count in range(times) for step in shape]
    (device,) = [device for device in play(chord, line) if device.kind in ("shape-shift", "sequence")]
    assert len(device.notes) == len(line)
    assert device.kind == "sequence" or device.facts["interval"] == interval


LINES = 25  # of each kind; ``benchmarks/planted.py`` prints the table for many more
GOOD = 0.95


@pytest.fixture(scope="module")
def results() -> dict[str, list[int]]:
    return score(list(PLANTERS), LINES, seed=7)[0]


@pytest.mark.parametrize("kind", PLANTERS)
def test_a_planted_device_is_found_again_and_few_are_found_where_none_is(
    kind: str, results: dict[str, list[int]]
) -> None:
    planted, again, found, right = results[kind]
    assert again >= GOOD * planted
    assert right >= GOOD * found
