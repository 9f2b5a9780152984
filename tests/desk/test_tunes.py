"""Saving: what was saved stays, whatever happens to the server, and nobody overwrites anybody."""

from __future__ import annotations

import random
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from solowright.desk import durable
from solowright.desk.folder import MissingError, free_name, list_names
from solowright.desk.history import History, StaleError
from solowright.desk.tunes import ConflictError, Tunes
from solowright.errors import InputError
from solowright.files.load import load
from tests.desk.tunes import LANTERN

WIDTH = 500.0


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "lantern.solo").write_bytes(LANTERN)
    return tmp_path


@pytest.fixture
def tunes(folder: Path) -> Iterator[Tunes]:
    tunes = Tunes(folder)
    yield tunes
    tunes.close()


def tempo(tunes: Tunes, revision: int, bpm: float) -> int:
    return tunes.edit("lantern", revision, {"kind": "tempo", "tempo": bpm}, WIDTH).head.revision


def test_an_edit_is_in_the_file_and_in_the_history(tunes: Tunes, folder: Path) -> None:
    revision = tempo(tunes, tunes.open("lantern").head.revision, 99)
    tunes.wait_saved()
    assert load(folder / "lantern.solo").tempo.first == 99
    assert tunes.open("lantern").head.revision == revision


def test_undo_goes_back_to_the_file_as_it_was_and_over_restarts(folder: Path) -> None:
    tunes = Tunes(folder)
    revision = tunes.open("lantern").head.revision
    for bpm in (90, 91, 92):
        revision = tempo(tunes, revision, bpm)
    tunes.close()
    again = Tunes(folder)
    seen = []
    opened = again.open("lantern")
    while opened.head.undo is not None:
        opened = again.step("lantern", opened.head.revision, back=True)
        seen.append(opened.state.tune.tempo.first)
    again.wait_saved()
    assert seen == [91, 90, 132]
    assert (folder / "lantern.solo").read_bytes() == LANTERN  # to the letter, remarks and all
    for bpm in (90, 91, 92):
        opened = again.step("lantern", opened.head.revision, back=False)
        assert opened.state.tune.tempo.first == bpm
    with pytest.raises(InputError, match="nothing to redo"):
        again.step("lantern", opened.head.revision, back=False)
    again.close()


def test_an_edit_after_undo_leaves_the_other_way_behind_but_kept(tunes: Tunes) -> None:
    revision = tempo(tunes, tunes.open("lantern").head.revision, 90)
    opened = tunes.step("lantern", revision, back=True)
    opened = tunes.edit("lantern", opened.head.revision, {"kind": "tempo", "tempo": 80}, WIDTH)
    assert opened.head.redo is None
    opened = tunes.step("lantern", opened.head.revision, back=True)
    opened = tunes.step("lantern", opened.head.revision, back=False)
    assert opened.state.tune.tempo.first == 80  # the way taken last


def test_two_windows_never_overwrite_each_other(tunes: Tunes, folder: Path) -> None:
    revision = tunes.open("lantern").head.revision
    tempo(tunes, revision, 90)
    with pytest.raises(ConflictError, match="Another window"):
        tempo(tunes, revision, 91)
    assert tunes.open("lantern").state.tune.tempo.first == 90


def test_two_desks_on_one_folder_never_overwrite_each_other(tunes: Tunes, folder: Path) -> None:
    other = Tunes(folder)
    revision = tunes.open("lantern").head.revision
    assert other.open("lantern").head.revision == revision
    tempo(tunes, revision, 90)
    with pytest.raises(ConflictError):
        tempo(other, revision, 91)
    assert other.open("lantern").state.tune.tempo.first == 90
    other.close()


def test_a_file_changed_by_an_editor_is_taken_in_and_can_be_undone(tunes: Tunes, folder: Path) -> None:
    revision = tempo(tunes, tunes.open("lantern").head.revision, 90)
    tunes.wait_saved()
    typed = LANTERN.replace(b"tempo: 132", b"tempo: 77\n# by hand")
    (folder / "lantern.solo").write_bytes(typed)
    with pytest.raises(ConflictError, match="Another program"):
        tempo(tunes, revision, 91)
    opened = tunes.open("lantern")
    assert opened.state.tune.tempo.first == 77
    tunes.wait_saved()
    assert (folder / "lantern.solo").read_bytes() == typed
    back = tunes.step("lantern", opened.head.revision, back=True)
    assert back.state.tune.tempo.first == 90


def test_a_file_that_an_editor_broke_is_not_overwritten(tunes: Tunes, folder: Path) -> None:
    revision = tunes.open("lantern").head.revision
    (folder / "lantern.solo").write_bytes(b"title: half a fi")
    with pytest.raises(InputError, match="chart"):
        tempo(tunes, revision, 90)
    assert (folder / "lantern.solo").read_bytes() == b"title: half a fi"


def test_an_edit_that_cannot_be_played_changes_nothing(tunes: Tunes) -> None:
    opened = tunes.open("lantern")
    with pytest.raises(InputError, match="no note before"):
        tunes.edit("lantern", opened.head.revision, {"kind": "entry", "note": 0, "entry": "pull"}, WIDTH)
    assert tunes.open("lantern") == opened


def test_an_edit_that_changes_nothing_is_no_step(tunes: Tunes) -> None:
    opened = tunes.open("lantern")
    assert tempo(tunes, opened.head.revision, 132) == opened.head.revision


def test_what_the_sheet_cannot_hold_survives_without_the_history(folder: Path) -> None:
    tunes = Tunes(folder)
    opened = tunes.open("lantern")
    edit = {"kind": "remark", "from": {"bar": 1, "beat": 1}, "text": "lean back"}
    opened = tunes.edit("lantern", opened.head.revision, edit, WIDTH)
    tunes.close()
    for file in (folder / ".solowright").glob("history*"):
        file.unlink()
    again = Tunes(folder)
    assert again.open("lantern").state == opened.state
    again.close()


@pytest.mark.parametrize(
    "name", ["", ".", "..", "../lantern", "a/b", ".hidden", "lantern\0", "a\\b", "lantern.solo"]
)
def test_no_name_leads_out_of_the_folder(tunes: Tunes, name: str) -> None:
    with pytest.raises(MissingError):
        tunes.open(name)


def test_a_link_out_of_the_folder_is_no_tune(
    tunes: Tunes, folder: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    other = tmp_path_factory.mktemp("other") / "theirs.solo"
    other.write_bytes(LANTERN)
    (folder / "theirs.solo").symlink_to(other)
    with pytest.raises(MissingError):
        tunes.open("theirs")
    assert list_names(folder) == ["lantern"]


def test_names_of_files_are_plain_and_free(folder: Path) -> None:
    assert free_name(folder, "Blue Street, No. 2!") == "blue-street-no-2"
    assert free_name(folder, "../../etc/passwd") == "etc-passwd"
    assert free_name(folder, "Lantern") == "lantern-2"
    assert free_name(folder, "***") == "tune"


# --- the plug is pulled ----------------------------------------------------------------------------------

# Edits the tune again and again and says, after each, what is saved by now.
_EDITOR = """
import os, sys
from pathlib import Path
from solowright.desk.tunes import Tunes

if __name__ == "__main__":
    tunes = Tunes(Path(sys.argv[1]))
    opened = tunes.open("lantern")
    bpm = int(sys.argv[2])
    print("ready", flush=True)
    while True:
        bpm += 1
        opened = tunes.edit("lantern", opened.head.revision, {"kind": "tempo", "tempo": bpm}, 500.0)
        os.write(1, f"{bpm}\\n".encode())
"""


def test_killing_the_server_at_any_moment_loses_nothing_saved(folder: Path) -> None:
    chance = random.Random(5)
    bpm = 200
    for _ in range(3):
        command = [sys.executable, "-c", _EDITOR, str(folder), str(bpm)]
        with subprocess.Popen(command, stdout=subprocess.PIPE) as editor:
            assert editor.stdout is not None
            assert editor.stdout.readline() == b"ready\n"
            first = int(editor.stdout.readline())
            time.sleep(chance.uniform(0.0, 0.25))
            editor.send_signal(signal.SIGKILL)
            told = [first, *map(int, editor.stdout.read().split())]
        tunes = Tunes(folder)
        opened = tunes.open("lantern")
        bpm = int(opened.state.tune.tempo.first)
        assert told[-1] <= bpm <= told[-1] + 1  # the last may be saved, and not yet told
        tunes.wait_saved()
        assert load(folder / "lantern.solo").tempo.first == bpm
        tunes.close()


class PlugPulled(BaseException):
    """The machine stops here."""


STEPS = ("draft opened", "draft flushed", "renamed")


@pytest.mark.parametrize(
    "moment", ["begin", "keep_sheet", "will_write", "has_written", "fsync", "replace", "beside"]
)
def test_a_save_broken_off_at_any_step_is_made_good(
    folder: Path, moment: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    tunes = Tunes(folder)
    opened = tunes.open("lantern")
    broken: list[str] = []

    def pull(*args: object, **kwargs: object) -> None:
        broken.append(moment)
        raise OSError(5, "the plug is pulled")

    with monkeypatch.context() as patch:
        if moment == "fsync":
            patch.setattr(durable.os, "fsync", pull)
        elif moment == "replace":
            patch.setattr(Path, "replace", pull)
        elif moment == "beside":
            real = durable.write_durably
            patch.setattr(
                "solowright.desk.tunes.write_durably",
                lambda path, data: pull() if path.suffix == ".solo" else real(path, data),
            )
        elif moment == "begin":
            patch.setattr("solowright.desk.tunes.write_state", pull)
        else:
            patch.setattr(tunes.history, moment, pull)
        tempo(tunes, opened.head.revision, 90)
        tunes.wait_saved()
    assert broken
    tunes.history.close()  # this server is gone
    again = Tunes(folder)
    opened = again.open("lantern")
    assert opened.state.tune.tempo.first == 90 and opened.head.revision == 2
    again.wait_saved()
    assert load(folder / "lantern.solo").tempo.first == 90
    assert not again.open("lantern").head.redo
    again.close()


def test_a_full_disk_is_told_and_the_edit_is_kept(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    heard: list[dict] = []
    tunes = Tunes(folder, lambda name, what: heard.append(what))
    opened = tunes.open("lantern")

    def full(*args: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(durable.os, "fsync", full)
        tempo(tunes, opened.head.revision, 90)
        tunes.wait_saved()
    assert any("No space left" in what.get("trouble", "") for what in heard)
    assert (folder / "lantern.solo").read_bytes() == LANTERN
    assert not list(folder.glob(f"{durable.DRAFT}*"))
    tunes.open("lantern")  # and tries again
    tunes.wait_saved()
    assert load(folder / "lantern.solo").tempo.first == 90
    tunes.close()


def test_the_history_is_written_through(folder: Path) -> None:
    history = History(folder / "h.sqlite3")
    base = sqlite3.connect(folder / "h.sqlite3")
    assert base.execute("pragma journal_mode").fetchone() == ("wal",)
    with history._lock:
        assert history._base.execute("pragma synchronous").fetchone() == (2,)  # FULL
    head = history.begin("x", b"sheet", None, "d")
    history.add("x", head.revision, {"kind": "tempo"})
    with pytest.raises(StaleError):
        history.add("x", head.revision, {"kind": "tempo"})
    history.close()


def test_a_broken_history_is_told(folder: Path) -> None:
    (folder / ".solowright").mkdir()
    (folder / ".solowright" / "history.sqlite3").write_bytes(b"no database at all" * 100)
    with pytest.raises(InputError, match="move this file away"):
        Tunes(folder)
