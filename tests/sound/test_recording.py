from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

from solowright.errors import InputError
from solowright.music.time import SWING
from solowright.sound.blocks import BLOCK, cut, joined, lay_out
from solowright.sound.mix import Wish, mixed, render
from solowright.sound.recording import record
from solowright.sound.string import SAMPLE_RATE
from tests.sound.test_mix import wandering_line
from tests.sound.tunes import bar, note, tune, vamp


def test_a_recording_is_what_is_rendered(tmp_path: Path) -> None:
    bars = [bar("A7"), bar("D7"), bar(pause=True), bar("A7"), bar("D7"), bar("E7"), bar("A7")]
    played = tune(bars, wandering_line(24), tempo=90, feel=SWING)
    seconds = record(played, tmp_path / "tune.wav", Wish(break_hats=True), tmp_path / "stems")
    mix = render(played, break_hats=True)
    assert seconds == mix.seconds and seconds * SAMPLE_RATE > 3 * BLOCK
    sound, _ = soundfile.read(tmp_path / "tune.wav", dtype="float32")
    assert np.abs(sound - mixed(mix)).max() < 1e-6
    assert {p.stem for p in (tmp_path / "stems").iterdir()} == set(mix.stems)
    for name, stem in mix.stems.items():
        written, _ = soundfile.read(tmp_path / "stems" / f"{name}.wav", dtype="float32")
        assert np.abs(written - stem).max() < 1e-6
    assert {p.name for p in tmp_path.iterdir()} == {"tune.wav", "stems"}


def test_events_go_on_over_the_cuts() -> None:
    shape = np.arange(1, 8, dtype=np.float32)
    events = [(3, lambda: shape), (0, lambda: 2 * shape), (9, lambda: shape)]
    whole = joined(lay_out(events, (0, 20)))
    assert whole[3] == 8 + 1 and whole[9] == 7 + 1 and len(whole) == 20
    assert np.array_equal(joined(lay_out(events, (0, 1, 4, 5, 12, 20))), whole)
    assert cut(BLOCK + 5) == (0, BLOCK, BLOCK + 5)


def test_what_can_not_be_written_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    played = vamp(2, [note(64, 0, 2)])
    for path, words in (("nowhere/a.wav", "can't be written"), ("a.xyz", "end the name")):
        with pytest.raises(InputError, match=words):
            record(played, tmp_path / path)

    class Full(soundfile.SoundFile):
        def write(self, data: object) -> None:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(soundfile, "SoundFile", Full)
    with pytest.raises(InputError, match="No space left on device") as caught:
        record(played, tmp_path / "a.wav", stems_dir=tmp_path)
    assert "\n" not in str(caught.value) and not list(tmp_path.iterdir())


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_really_full_disk_is_told_in_a_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    touch, opened = Path.touch, Path.open
    full = Path("/dev/full")
    monkeypatch.setattr(Path, "touch", lambda self: None if self.suffix == ".rough" else touch(self))
    monkeypatch.setattr(
        Path, "open", lambda self, *how: opened(full if self.suffix == ".rough" else self, *how)
    )
    with pytest.raises(InputError, match="No space left on device"):
        record(vamp(2, [note(64, 0, 2)]), tmp_path / "a.wav")
    assert not list(tmp_path.iterdir())


def test_hours_and_senseless_wishes_are_refused(tmp_path: Path) -> None:
    for bars, wish, words in (
        (4, Wish(tempo=0), "give 15 to 500"),
        (2500, Wish(tempo=16), "minutes of audio, more than 120"),
        (4, Wish(style="polka"), "no style 'polka'"),
        (4, Wish(stems=("kazoo",)), "no stem 'kazoo'"),
        (4, Wish(bars=(3, 9)), "can't be played"),
    ):
        with pytest.raises(InputError, match=words):
            record(vamp(bars, [note(64, 0, 2)]), tmp_path / "a.wav", wish)
    assert not list(tmp_path.iterdir())


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="reads its memory from /proc")
def test_long_music_takes_no_more_memory(tmp_path: Path) -> None:
    """140 seconds against 40, each in a process of its own; held whole they would take 140 MiB more."""
    code = (
        "import pathlib, sys; sys.path.insert(0, '.'); from tests.sound.tunes import note, vamp\n"
        "from solowright.sound.recording import record\n"
        "bars = int(sys.argv[1]); line = [note(60 + i % 9, i, 1) for i in range(4 * bars - 4)]\n"
        "record(vamp(bars, line), sys.argv[2])\n"
        "status = pathlib.Path('/proc/self/status').read_text()\n"
        "print(int(status.split('VmHWM:')[1].split()[0]) / 1024)"  # a child's own, unlike getrusage's
    )

    def memory(bars: int) -> float:
        command = [sys.executable, "-c", code, str(bars), str(tmp_path / "a.wav")]
        home = Path(__file__).parents[2]
        return float(subprocess.run(command, check=True, capture_output=True, text=True, cwd=home).stdout)

    short, long = memory(20), memory(70)
    assert long < short + 40
