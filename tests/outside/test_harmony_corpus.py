"""Roles and devices over real solos, beside figures published for the same database.

Weimar Jazz Database (Pfleiderer et al., *Inside the Jazzomat*, 2017), 305 solos in 4/4, 111,175 notes:
chord tones 50.9 % of all notes, 56.8 % on beat one, 61.2 % at phrase ends; 67.3 % of non-chord tones
leave by step. Ours is a sample of another cut, so shares are compared within a few points.
"""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from benchmarks.jazz_solos import load_solos
from benchmarks.wrong_charts import move_chart

from solowright.harmony import Reading, read_line
from solowright.music.line import make_line
from solowright.music.tune import Tune
from tests.data import data_folder

SAMPLE = 6  # every sixth solo


@pytest.fixture(scope="module")
def tunes() -> list[Tune]:
    data_folder("wjd")
    return [solo.tune for solo in load_solos(SAMPLE)]


@pytest.fixture(scope="module")
def readings(tunes: list[Tune]) -> list[Reading]:
    return [read_line(tune) for tune in tunes]


def explained(readings: list[Reading]) -> float:
    notes = sum(len(reading.notes) for reading in readings)
    return 1 - sum(reading.unexplained for reading in readings) / notes


def test_half_of_all_notes_are_chord_tones_and_more_on_beat_one(
    tunes: list[Tune], readings: list[Reading]
) -> None:
    everywhere, on_one = [], []
    for tune, reading in zip(tunes, readings, strict=True):
        for written, note in zip(tune.line.notes, reading.notes, strict=True):
            if note.chord is not None:
                inside = note.role in ("chord-tone", "anticipation", "suspension")
                everywhere.append(inside)
                if tune.chart.place(written.onset).beat == 1:
                    on_one.append(inside)
    assert sum(everywhere) / len(everywhere) == pytest.approx(0.509, abs=0.03)
    assert sum(on_one) / len(on_one) == pytest.approx(0.568, abs=0.04)
    assert sum(on_one) / len(on_one) > sum(everywhere) / len(everywhere)


def test_lines_say_their_own_chart_far_more_than_another(
    tunes: list[Tune], readings: list[Reading]
) -> None:
    generator = random.Random(7)
    wrong = [read_line(move_chart(tune, generator.randrange(1, 12))) for tune in tunes]
    own, other = heard(readings), heard(wrong)
    assert own > 0.2
    assert other < own / 2


def heard(readings: list[Reading]) -> float:
    """The share of chords that are heard from the line alone."""
    statements = [statement for reading in readings for statement in reading.statements]
    return sum(statement.stated for statement in statements) / len(statements)


def test_real_solos_are_explained_many_times_better_than_the_same_notes_shuffled(
    tunes: list[Tune], readings: list[Reading]
) -> None:
    # A detector that explains noise is worthless.
    generator = random.Random(7)
    shuffled = []
    for tune in tunes:
        pitches = [note.pitch for note in tune.line.notes]
        generator.shuffle(pitches)
        dealt = [replace(note, pitch=pitch) for note, pitch in zip(tune.line.notes, pitches, strict=True)]
        shuffled.append(read_line(replace(tune, line=make_line(dealt))))
    assert explained(readings) > 0.25
    assert explained(shuffled) < explained(readings) / 4
