"""Work in the back room: in order, shared, given up for newer, and told of when it fails."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import CancelledError
from pathlib import Path

import pytest

from solowright.desk.backroom import BackRoom, tell_progress
from solowright.desk.sounds import Sounds
from solowright.desk.stems import Stem, find_stems, stem_keys
from solowright.desk.worked import work_out
from solowright.errors import InputError
from tests.desk.tunes import lantern

heard: list[tuple[str, float, str]] = []


@pytest.fixture(scope="module")
def room() -> Iterator[BackRoom]:
    room = BackRoom(lambda *news: heard.append(news))
    yield room
    room.close()


def note(path: Path, text: str, wait: float = 0.0) -> int:
    time.sleep(wait)
    with path.open("a") as file:
        file.write(text)
    tell_progress(text, 0.5, "writing")
    return os.getpid()


def burst() -> None:
    raise InputError("this can't be played")


def die() -> None:
    os._exit(3)


def test_work_is_done_elsewhere_and_its_progress_heard(room: BackRoom, tmp_path: Path) -> None:
    assert room.do("a", note, tmp_path / "log", "a").result(30) != os.getpid()
    until = time.monotonic() + 5
    while ("a", 0.5, "writing") not in heard and time.monotonic() < until:
        time.sleep(0.01)
    assert ("a", 0.5, "writing") in heard


def test_what_somebody_waits_for_comes_first_and_is_done_once(room: BackRoom, tmp_path: Path) -> None:
    log = tmp_path / "log"
    first = room.do("first", note, log, "1", 0.3)
    later = room.prepare("later", note, log, "p")
    urgent = [room.do("urgent", note, log, "u") for _ in range(3)]
    assert urgent[0] is urgent[1]
    for future in (first, later, *urgent):
        future.result(30)
    assert log.read_text() == "1up"


def test_prepared_work_gives_way_to_newer(room: BackRoom, tmp_path: Path) -> None:
    log = tmp_path / "log"
    first = room.do("first", note, log, "1", 0.3)
    old = room.prepare("stem old", note, log, "o")
    room.forget(lambda name: name != "stem old")
    first.result(30)
    with pytest.raises(CancelledError):
        old.result(5)
    assert log.read_text() == "1"


def test_faults_come_back_and_a_dead_process_is_replaced(room: BackRoom, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="can't be played"):
        room.do("burst", burst).result(30)
    with pytest.raises(InputError, match="try again"):
        room.do("die", die).result(30)
    room.do("after", note, tmp_path / "log", "x").result(30)
    assert (tmp_path / "log").read_text() == "x"


def test_a_room_without_work_is_given_up_and_opened_again(tmp_path: Path) -> None:
    room = BackRoom(idle=0.2)
    first = room.do("a", note, tmp_path / "log", "a").result(30)
    until = time.monotonic() + 10
    while Path(f"/proc/{first}").exists() and time.monotonic() < until:
        time.sleep(0.05)
    assert not Path(f"/proc/{first}").exists()
    assert room.do("b", note, tmp_path / "log", "b").result(30) != first
    room.close()


def test_one_that_keeps_much_memory_is_replaced(room: BackRoom, tmp_path: Path) -> None:
    small = room.do("a", note, tmp_path / "log", "a").result(30)
    assert room.do("b", hold, 1).result(30) == small
    assert room.do("c", hold, 120).result(30) == small
    assert room.do("d", note, tmp_path / "log", "d").result(30) != small


def hold(megabytes: int) -> int:
    held.append(b"x" * (1_000_000 * megabytes))
    return os.getpid()


held: list[bytes] = []
_KILLED = """
from solowright.desk.backroom import BackRoom
import os, time

if __name__ == "__main__":
    print(BackRoom().do("a", os.getpid).result(30), flush=True)
    time.sleep(60)
"""


def test_it_does_not_outlive_a_desk_that_was_killed(tmp_path: Path) -> None:
    script = tmp_path / "killed.py"
    script.write_text(_KILLED)
    with subprocess.Popen([sys.executable, str(script)], stdout=subprocess.PIPE, text=True) as desk:
        assert desk.stdout is not None
        room = int(desk.stdout.readline())
        desk.kill()
    until = time.monotonic() + 10
    while is_alive(room) and time.monotonic() < until:
        time.sleep(0.02)
    assert not is_alive(room)


def is_alive(process: int) -> bool:
    """Whether a process still runs; one that ended and whose parent is gone counts as ended."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


def test_stems_fit_together_and_are_found_again(room: BackRoom, tmp_path: Path) -> None:
    import soundfile

    sounds, tune = Sounds(tmp_path, room), work_out(lantern()).tune
    files = [sounds.file(Stem(tune, name)).result(60) for name in find_stems(tune)]
    infos = [soundfile.info(str(file)) for file in files]
    assert len({info.frames for info in infos}) == 1 and {info.samplerate for info in infos} == {48_000}
    lead = Stem(tune, "guitar").lead()
    assert lead == pytest.approx(4 * 60 / 132)
    guitar, _ = soundfile.read(files[0])
    click, _ = soundfile.read(files[-1])
    assert abs(guitar[: int(lead * 48_000)]).max() == 0 and abs(click[: int(lead * 48_000)]).max() > 0.05
    begun = files[0].stat().st_mtime_ns
    assert sounds.file(Stem(tune, "guitar")).result(0) == files[0]
    assert files[0].stat().st_mtime_ns >= begun
    assert not list(tmp_path.glob(".*"))


def test_a_band_that_has_nothing_to_play_is_silent_but_as_long(room: BackRoom, tmp_path: Path) -> None:
    import soundfile

    from tests.desk.tunes import edited

    state = lantern()
    for bar in range(1, 11):
        state = edited(state, "chord", bar=bar, text="N.C.")
    tune = work_out(state).tune
    sounds = Sounds(tmp_path, room)
    bass, _ = soundfile.read(sounds.file(Stem(tune, "bass")).result(60))
    guitar, _ = soundfile.read(sounds.file(Stem(tune, "guitar")).result(60))
    assert len(bass) == len(guitar) and not bass.any() and guitar.any()


def test_keys_tell_what_can_be_heard() -> None:
    from tests.desk.tunes import edited

    tune = work_out(lantern()).tune
    keys = stem_keys(tune)
    assert stem_keys(work_out(edited(lantern(), "heading", title="Other")).tune) == keys
    faster = stem_keys(work_out(edited(lantern(), "tempo", tempo=140)).tune)
    assert not set(keys.values()) & set(faster.values())
    hits = stem_keys(work_out(edited(lantern(), "hits", bar=1, beats=[1])).tune)
    assert hits["guitar"] == keys["guitar"] and hits["drums"] != keys["drums"]
    assert Stem(tune, "bass", 100, 20.0).key() == keys["bass"]
    assert Stem(tune, "guitar", 100, 20.0).key() != keys["guitar"]


def test_the_longest_unheard_go_when_there_are_too_many(
    room: BackRoom, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("solowright.desk.sounds.MOST_BYTES", 1_000_000)
    old = tmp_path / "old.flac"
    old.write_bytes(b"x" * 990_000)
    os.utime(old, (1, 1))
    made = Sounds(tmp_path, room).file(Stem(work_out(lantern()).tune, "click")).result(60)
    assert made.exists() and not old.exists()
