from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.music.line import Bend
from solowright.sound.pitch_path import VIBRATO_SEMITONES, pitch_path, slide
from tests.sound.tunes import F, note

UP, DOWN = Bend(F(2)), Bend(F(0), "release")
SHAPES = st.sampled_from([
    {}, {"vibrato": True}, {"trill": 2}, {"slide_from": -3}, {"slide_to": -5},
    {"slide_from": 2, "slide_to": 7}, {"bends": (UP,)}, {"bends": (UP, DOWN)},
    {"bends": (Bend(F(1), "prebend"),)}, {"bends": (UP,), "vibrato": True},
])  # fmt: skip


@settings(max_examples=80, deadline=None)
@given(SHAPES, st.integers(1, 100_000))
def test_a_path_starts_at_nought_and_runs_forward(shape: dict[str, object], length: int) -> None:
    times = [time for time, _ in pitch_path(note(60, 0, 1, **shape), length)]
    assert times[0] == 0
    assert times == sorted(times)
    assert times[-1] <= length + 100


def test_bends_reach_what_is_written_and_come_back() -> None:
    up = pitch_path(note(60, 0, 1, bends=(Bend(F(2)),)), 48000)
    assert up[0] == (0, 0.0) and up[-1][1] == 2.0
    back = pitch_path(note(60, 0, 1, bends=(Bend(F(3, 2)), Bend(F(0), "release"))), 48000)
    assert max(pitch for _, pitch in back) == 1.5 and back[-1][1] == 0.0
    assert pitch_path(note(60, 0, 1, bends=(Bend(F(1), "prebend"),)), 48000) == ((0, 1.0),)


def test_vibrato_waits_then_swings_upward_only() -> None:
    path = pitch_path(note(60, 0, 1, vibrato=True), 96000)
    assert path[1][0] > 4800
    assert min(pitch for _, pitch in path) == 0.0
    assert 0.95 * VIBRATO_SEMITONES < max(pitch for _, pitch in path) <= VIBRATO_SEMITONES


def test_a_trill_alternates_and_a_slide_passes_every_fret() -> None:
    pitches = [pitch for _, pitch in pitch_path(note(60, 0, 1, trill=1), 48000)]
    assert set(pitches) == {0.0, 1.0}
    assert {pitch for _, pitch in slide(0, 60, 64, 4000)} == {60, 61, 62, 63, 64}
    assert slide(0, 60, 64, 4000)[-1] == (slide(0, 60, 64, 4000)[-1][0], 64)
