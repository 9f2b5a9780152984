"""The practice folder and the command that fills it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import soundfile

from solowright.practice.log import read_tries
from tests.conftest import Run

FIRST_LOOP = "loop-1"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "practice"


def test_a_folder_holds_sheet_log_and_every_step(sheet: Path, folder: Path, run: Run) -> None:
    status, out, err = run("practice", sheet, "-o", folder, "--loops", 1, "--gig", "2099-01-01", "--json")
    assert (status, out) == (2, "") and "within a year" in err and not folder.exists()
    status, out, err = run("practice", sheet, "-o", folder, "--loops", 1, "--json")
    assert status == 0, err
    course = json.loads(out)
    (loop,) = course["loops"]
    assert (folder / "practice.pdf").read_bytes().startswith(b"%PDF")
    assert json.loads((folder / "practice.json").read_text("utf-8")) == course
    steps = sorted((folder / FIRST_LOOP).iterdir())
    assert [float(step.stem) for step in steps] == loop["ladder"]
    slow, fast = (soundfile.info(step).duration for step in (steps[0], steps[-1]))
    assert slow > fast > 4  # four times round


def test_tries_move_the_ladder_and_stay_when_the_folder_is_made_again(
    sheet: Path, folder: Path, run: Run
) -> None:
    folder.mkdir()
    for _ in range(3):
        status, out, _ = run("practice", sheet, "-o", folder, "--step", 6, "--clean", 1, "--json")
        assert status == 0
    loop = json.loads(out)["loops"][0]
    assert loop["rung"] == 1 and loop["next"]["kind"] == "burst" and len(loop["tries"]) == 3
    assert "<svg" in (folder / "progress.svg").read_text("utf-8")
    assert run("practice", sheet, "-o", folder, "--loops", 1, "--step", 6)[0] == 0
    (log,) = folder.glob("*.sqlite")
    assert len(read_tries(log, "Four for the Ferry")) == 3


@pytest.mark.parametrize(
    ("options", "what"),
    [
        (("--clean", 1), "practice folder"),
        (("--gig", "soon"), "not a date"),
        (("--step", 9), "3 to 6 %"),
        (("--level", 400), "meter"),
    ],
)
def test_wrong_wishes_get_one_line(sheet: Path, run: Run, options: tuple[object, ...], what: str) -> None:
    status, out, err = run("practice", sheet, *options)
    assert status == 2 and out == "" and what in err and err.count("\n") == 1


def test_words_name_the_crux_and_the_caution(sheet: Path, run: Run) -> None:
    status, out, _ = run("practice", sheet, "--level", 100, "--minutes", 40)
    assert status == 0
    assert "next: loop at" in out and "Stop at" in out and "15 minutes" in out
