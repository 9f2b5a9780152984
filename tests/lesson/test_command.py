"""``solowright lesson`` as a user types it: what is refused, and that nothing is written then."""

from __future__ import annotations

from pathlib import Path

from tests.conftest import Run
from tests.lesson.tunes import SHEET


def test_wrong_wishes_leave_nothing_behind(run: Run, tmp_path: Path) -> None:
    sheet = tmp_path / "steps.solo"
    sheet.write_text(SHEET, "utf-8")
    (tmp_path / "taken").write_text("")
    for arguments, said in (
        (("-o", tmp_path / "out", "--plainer", "0.1"), "give a share from 0.3 to 1"),
        (("-o", tmp_path / "taken"), "this is a file; name a folder"),
    ):
        status, out, err = run("lesson", sheet, *arguments)
        assert (status, out) == (2, "")
        assert said in err and len(err.splitlines()) == 1
    assert sorted(path.name for path in tmp_path.iterdir()) == ["steps.solo", "taken"]
