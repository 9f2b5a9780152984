from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from solowright.errors import InputError
from solowright.sound.stretch import slow_recording, stretched

pytest.importorskip("python_stretch")
RATE = 44_100


def plucks() -> np.ndarray:  # type: ignore[type-arg]
    """A pluck each half second from half a second on, 220 Hz, in two channels."""
    sound = np.zeros((3 * RATE, 2), np.float32)
    t = np.arange(RATE // 3) / RATE
    pluck = (np.sin(2 * np.pi * 220 * t) * np.exp(-t / 0.08)).astype(np.float32)
    for n in range(1, 5):
        sound[n * RATE // 2 :][: len(pluck)] += 0.5 * pluck[:, None]
    return sound


@pytest.mark.parametrize("speed", [0.5, 0.75, 1.5])
def test_it_lasts_longer_at_the_same_pitch_with_attacks_in_place(speed: float) -> None:
    slow = stretched(plucks(), speed)
    assert slow.shape == (pytest.approx(3 * RATE / speed, abs=2), 2)
    for n in range(1, 5):
        wanted = n * RATE / 2 / speed
        near = slow[round(wanted) - 2000 : round(wanted) + 4000, 0]
        attack = round(wanted) - 2000 + int(np.argmax(np.abs(near) > 0.3 * np.abs(near).max()))
        assert abs(attack - wanted) < 0.015 * RATE
        piece = slow[round(wanted) : round(wanted) + 4096, 0] * np.hanning(4096)
        assert np.argmax(np.abs(np.fft.rfft(piece, 1 << 16))) * RATE / (1 << 16) == pytest.approx(220, abs=4)


def test_a_file_becomes_a_slower_file(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "take.wav", plucks(), RATE)
    assert slow_recording(tmp_path / "take.wav", tmp_path / "slow.flac", 0.5) == pytest.approx(6.0, abs=0.01)
    info = soundfile.info(tmp_path / "slow.flac")
    assert (info.samplerate, info.channels, info.frames) == (RATE, 2, 6 * RATE)


def test_what_can_not_be_done_is_said_in_a_line(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "take.wav", plucks(), RATE)
    (tmp_path / "text.wav").write_text("no sound")
    for source, target, speed, words in (
        ("take.wav", "slow.wav", 0.0, "give 0.25 to 2"),
        ("take.wav", "slow.doc", 0.5, "end the name"),
        ("none.wav", "slow.wav", 0.5, "can't be read"),
        ("text.wav", "slow.wav", 0.5, "can't be read"),
        ("take.wav", "nowhere/slow.wav", 0.5, "can't be written"),
        ("take.wav", "slow.opus", 0.5, "48 kHz"),
    ):
        with pytest.raises(InputError, match=words) as caught:
            slow_recording(tmp_path / source, tmp_path / target, speed)
        assert "\n" not in str(caught.value)
    assert {p.name for p in tmp_path.iterdir()} == {"take.wav", "text.wav"}
