"""Keys and their signatures."""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from solowright.music.chart import Bar, Chart, Section
from solowright.music.pitch import Interval, plain_interval, tone_at
from solowright.music.tune import Tune, key_of_signature, signature_alters


@pytest.mark.parametrize(
    ("fifths", "major", "minor", "alters"),
    [
        (0, "C", "Am", (0, 0, 0, 0, 0, 0, 0)),
        (1, "G", "Em", (0, 0, 0, 1, 0, 0, 0)),
        (-3, "Eb", "Cm", (0, 0, -1, 0, 0, -1, -1)),
        (7, "C#", "A#m", (1, 1, 1, 1, 1, 1, 1)),
        (-7, "Cb", "Abm", (-1, -1, -1, -1, -1, -1, -1)),
    ],
)
def test_signatures(fifths: int, major: str, minor: str, alters: tuple[int, ...]) -> None:
    assert key_of_signature(fifths).name == major
    assert key_of_signature(fifths, minor=True).name == minor
    assert signature_alters(fifths) == alters


@given(st.integers(-15, 15))
def test_the_line_of_fifths_goes_both_ways(fifths: int) -> None:
    assert tone_at(fifths).fifths == fifths


@pytest.mark.parametrize(("semitones", "steps"), [(0, 0), (3, 2), (7, 4), (12, 7), (-2, -1), (-9, -5)])
def test_plain_intervals(semitones: int, steps: int) -> None:
    assert plain_interval(semitones) == Interval(steps, semitones)


def test_equal_tunes_have_one_hash_and_a_change_makes_another() -> None:
    tune, same = (Tune("Rope", Chart((Section("A", (Bar(),)),))) for _ in range(2))
    hash(tune)
    assert tune == same and hash(tune) == hash(same)
    for other in (replace(tune, capo=2), replace(tune, title="Knot")):
        assert other != tune and hash(other) != hash(tune)


def test_a_hash_does_not_go_along_into_another_process() -> None:
    tune = Tune("Rope", Chart((Section("A", (Bar(),)),)))
    hash(tune)
    ask = (
        "import pickle, sys; from dataclasses import replace; tune = pickle.load(sys.stdin.buffer); "
        "print(hash(tune) == hash(replace(tune)))"
    )
    told = subprocess.run(
        [sys.executable, "-c", ask],
        input=pickle.dumps(tune),
        capture_output=True,
        check=True,
        env={**os.environ, "PYTHONHASHSEED": "7"},
    )
    assert told.stdout.split() == [b"True"]
