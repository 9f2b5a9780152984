"""The command that opens the desk: where tunes come from, and what the server is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from solowright.desk_command import desk
from solowright.errors import InputError
from tests.desk.tunes import LANTERN

Served = dict[str, object]


@pytest.fixture
def served(monkeypatch: pytest.MonkeyPatch) -> Served:
    told: Served = {}

    def serve(folder: Path, port: int | None, **wishes: object) -> None:
        told.update(folder=folder, port=port, **wishes)

    monkeypatch.setattr("solowright.desk.serve.serve", serve)
    return told


def test_a_folder_and_a_port(served: Served, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    desk(None, 9000, False, tmp_path)
    assert (served["folder"], served["port"]) == (tmp_path, 9000)
    assert (served["browser"], served["tune"]) == (False, None)
    tell = served["tell"]
    assert callable(tell)
    tell("http://127.0.0.1:9000/?token=x")
    told = capsys.readouterr()
    assert "http://127.0.0.1:9000/?token=x" in told.err and "Ctrl+C" in told.err and not told.out


def test_a_tune_of_the_folder_is_opened_as_it_is(served: Served, tmp_path: Path) -> None:
    (tmp_path / "lantern.solo").write_bytes(LANTERN)
    desk(tmp_path / "lantern.solo", None, False, tmp_path)
    assert served["tune"] == "lantern"
    assert [file.name for file in tmp_path.glob("*.solo")] == ["lantern.solo"]


def test_a_file_from_elsewhere_is_brought_into_the_folder(served: Served, tmp_path: Path) -> None:
    (tmp_path / "mine.solo").write_bytes(LANTERN)
    folder = tmp_path / "tunes"
    desk(tmp_path / "mine.solo", None, False, folder)
    assert served["tune"] == "lantern-street" and (folder / "lantern-street.solo").read_bytes() == LANTERN


def test_the_file_on_the_desk_may_be_named_from_where_one_stands(
    served: Served, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "lantern.solo").write_bytes(LANTERN)
    monkeypatch.chdir(tmp_path)
    desk(Path("lantern.solo"), None, False, Path())
    assert served["tune"] == "lantern"


@pytest.mark.parametrize(("name", "data"), [("none.solo", None), ("bad.solo", b"title: x"), ("x.exe", b"MZ")])
def test_a_file_that_cannot_be_is_refused(
    served: Served, tmp_path: Path, name: str, data: bytes | None
) -> None:
    if data is not None:
        (tmp_path / name).write_bytes(data)
    with pytest.raises(InputError):
        desk(tmp_path / name, None, False, tmp_path / "tunes")
    assert not served
