"""A rendered line written down again by a pitch tracker that knows nothing of the voice.

Pitch: pYIN (Mauch & Dixon 2014) in librosa. Scoring: mir_eval's note F-measure, onsets within 50 ms
(the evaluation tolerance of MIREX), offsets ignored. A new note is a new pitch, or a spectral-flux onset.
"""

from __future__ import annotations

import numpy as np
import pytest

from solowright.demo import bundled_tune
from solowright.music.time import SWING
from solowright.neck import apply_path, finger
from solowright.sound.mix import render
from tests.sound.test_mix import wandering_line
from tests.sound.tunes import vamp

RATE, HOP = 16_000, 128
Notes = list[tuple[float, float, float]]  # start and end in seconds, hertz


def transcribe(sound: np.ndarray) -> Notes:  # type: ignore[type-arg]
    librosa = pytest.importorskip("librosa")
    sound = librosa.resample(sound, orig_sr=48_000, target_sr=RATE)
    hertz, _, _ = librosa.pyin(
        sound, fmin=110, fmax=1200, sr=RATE, frame_length=1024, hop_length=HOP, resolution=0.25
    )
    level = librosa.feature.rms(y=sound, frame_length=512, hop_length=HOP)[0]
    heard = ~np.isnan(hertz) & (level > 0.03 * level.max())
    keys = np.where(heard, np.round(librosa.hz_to_midi(np.nan_to_num(hertz, nan=1.0))), -1).astype(int)
    attacks = set(librosa.onset.onset_detect(y=sound, sr=RATE, hop_length=HOP, units="frames").tolist())
    found, start = [], 0
    for frame in range(1, len(keys) + 1):
        if frame == len(keys) or keys[frame] != keys[start] or frame in attacks:
            if keys[start] > 0 and (frame - start) * HOP / RATE > 0.035:
                found.append((start * HOP / RATE, frame * HOP / RATE, float(librosa.midi_to_hz(keys[start]))))
            start = frame
    return found


def f_measure(written: Notes, found: Notes) -> float:
    mir_eval = pytest.importorskip("mir_eval")
    (spans, hertz), (found_spans, found_hertz) = (
        (np.array([note[:2] for note in notes]), np.array([note[2] for note in notes]))
        for notes in (written, found)
    )
    _, _, score, _ = mir_eval.transcription.precision_recall_f1_overlap(
        spans, hertz, found_spans, found_hertz, onset_tolerance=0.05, offset_ratio=None
    )
    return float(score)


def test_the_line_comes_back_slurred_notes_included() -> None:
    line = wandering_line(24, seed=9)
    played = vamp(7, line, tempo=150, feel=SWING)
    assert sum(note.slurred for note in line) > 8
    found = transcribe(render(played, stems=("guitar",), count_in=False).stems["guitar"])
    written = [(played.seconds(n.onset), played.seconds(n.end), n.pitch.hertz) for n in line]
    assert f_measure(written, found) >= 0.95


def test_the_demo_solos_bridge_comes_back() -> None:
    """Bars 9 to 16: single notes only, since pYIN hears one voice; slurs, slides and triplets at 186."""
    tune = bundled_tune()
    played = apply_path(tune, finger(tune).paths[0])
    start, end = played.chart.starts[8], played.chart.starts[16]
    notes = [note for note in played.line.notes if start <= note.onset < end]
    assert sum(note.entry in ("hammer", "pull", "slide") for note in notes) >= 10
    found = transcribe(render(played, bars=(9, 16), stems=("guitar",), count_in=False).stems["guitar"])
    begin = played.seconds(start)
    written = [(played.seconds(n.onset) - begin, played.seconds(n.end) - begin, n.pitch.hertz) for n in notes]
    assert f_measure(written, found) >= 0.95
