"""The voice beside a recorded electric guitar: EGFxSet (CC BY 4.0), fret 22 of the low E string, clean,
middle pickup. Partials are compared in level and in the time they take to fall 60 dB."""

from __future__ import annotations

import numpy as np
import soundfile

from solowright.music.time import steady
from solowright.sound.blocks import cut, joined
from solowright.sound.excerpt import choose
from solowright.sound.filters import equalise
from solowright.sound.guitar import SCALE_MM, play_string
from solowright.sound.hands import place_hands
from solowright.sound.string import hear, midi_hertz
from solowright.sound.tone import COIL
from tests.data import data_folder
from tests.sound.tunes import note, vamp

RATE, WINDOW = 48_000, 4096
MIDI, FRET, STRING = 62, 22, 6
MIDDLE_PICKUP_MM = 100.0  # from memory


def partials(sound: np.ndarray) -> dict[int, tuple[float, float]]:  # type: ignore[type-arg]
    """{partial: (dB above the first at 50 ms, seconds to fall 60 dB by the first 0.85 s)}."""
    start = int(np.argmax(np.abs(sound) > 0.02 * np.abs(sound).max()))
    times = np.arange(0.05, 0.85, 0.08)
    levels = {}
    for k in (1, 3, 4):
        bin_ = round(k * midi_hertz(MIDI) * WINDOW / RATE)
        pieces = [sound[start + round(t * RATE) :][:WINDOW] * np.hanning(WINDOW) for t in times]
        levels[k] = [20 * np.log10(np.abs(np.fft.rfft(p))[bin_ - 3 : bin_ + 5].max()) for p in pieces]
    return {k: (found[0] - levels[1][0], -60 / np.polyfit(times, found, 1)[0]) for k, found in levels.items()}


def test_partials_fall_as_on_a_recorded_string() -> None:
    recorded, rate = soundfile.read(data_folder("single-notes") / "Clean_Middle_6-22.flac")
    assert rate == RATE
    played = vamp(2, [note(MIDI, 0, 4, string=STRING, fret=FRET)])
    assert played.tempo == steady(120)
    excerpt = choose(played, None, None, False)
    string = joined(play_string(played, place_hands(excerpt)[STRING], cut(excerpt.length)))
    voice = equalise(hear(string, MIDDLE_PICKUP_MM / SCALE_MM, midi_hertz(40)), COIL)
    real, ours = partials(recorded), partials(voice[:RATE].astype(float))
    assert abs(real[3][0] - ours[3][0]) < 6  # dB
    for k in (1, 3, 4):
        assert 1 / 1.6 < real[k][1] / ours[k][1] < 1.6, f"partial {k}"
