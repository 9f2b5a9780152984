from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from solowright.errors import InputError
from solowright.sound.audio import write_audio
from solowright.sound.mix import Mix, mixed, render
from solowright.sound.string import SAMPLE_RATE
from tests.sound.tunes import note, vamp


@pytest.fixture(scope="module")
def mix() -> Mix:
    return render(vamp(2, [note(64, 0, 2), note(67, 2, 2)], tempo=150))


@pytest.mark.parametrize(("suffix", "error"), [
    (".wav", 1e-6), (".flac", 1e-6), (".OGG", 0.08), (".opus", 0.2),
])  # fmt: skip
def test_files_read_back_as_they_were(mix: Mix, tmp_path: Path, suffix: str, error: float) -> None:
    path = tmp_path / f"take{suffix}"
    write_audio(mix, path, tmp_path / "parts" / "here")
    sound, rate = soundfile.read(path, dtype="float32")
    assert rate == SAMPLE_RATE and sound.shape == mixed(mix).shape
    assert np.abs(sound - mixed(mix)).max() < error
    assert np.abs(sound).max() < 10 ** (-1 / 20)
    assert {p.name for p in (tmp_path / "parts" / "here").iterdir()} == {name + suffix for name in mix.stems}
    parts = sum(soundfile.read(tmp_path / "parts" / "here" / f"{name}{suffix}")[0] for name in mix.stems)
    assert np.abs(parts - mixed(mix)).max() < 3 * error


@pytest.mark.parametrize("name", ["take.mp9", "take", "take.wav.txt"])
def test_an_unknown_suffix_is_refused(mix: Mix, tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError, match=r"\.wav, \.flac, \.ogg or \.opus"):
        write_audio(mix, tmp_path / name)
    assert not list(tmp_path.iterdir())


def test_what_can_not_be_written_leaves_nothing_and_spares_what_was_there(mix: Mix, tmp_path: Path) -> None:
    (tmp_path / "old.wav").write_bytes(b"old")
    (tmp_path / "file").write_bytes(b"a file, not a folder")
    for path, folder in (("nowhere/take.wav", None), ("old.wav", "file"), ("file/take.wav", None)):
        with pytest.raises(InputError, match="can't be written") as caught:
            write_audio(mix, tmp_path / path, folder and tmp_path / folder)
        assert "\n" not in str(caught.value)
    assert {p.name: p.read_bytes()[:3] for p in tmp_path.iterdir()} == {"old.wav": b"old", "file": b"a f"}


def test_a_full_disk_leaves_nothing(mix: Mix, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    class Full(soundfile.SoundFile):
        def write(self, data: object) -> None:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(soundfile, "SoundFile", Full)
    with pytest.raises(InputError, match="No space left on device"):
        write_audio(mix, tmp_path / "take.flac", tmp_path)
    assert not list(tmp_path.iterdir())
