"""The practice folder: the sheet, the progress, and every step of every ladder as audio."""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path

from solowright.errors import InputError
from solowright.files.whole import write_whole
from solowright.music.tune import Tune
from solowright.practice.course import Course, course_json
from solowright.practice.loops import loop_tune
from solowright.practice.plan import Plan
from solowright.practice.progress import draw_progress
from solowright.practice.sheet import practice_sheet
from solowright.sound.mix import Wish
from solowright.sound.recording import record

TIMES = 4  # how often a loop comes round in one audio file
LOG = "practice.log.sqlite"
PROGRESS_WIDTH = 500.0  # points


def write_practice(
    tune: Tune,
    course: Course,
    folder: Path,
    plan: Plan | None = None,
    caution: str = "",
    step: Callable[[], None] = lambda: None,
) -> None:
    """Fills ``folder`` with sheet, progress, data and audio: two steps, sheet and audio.

    ``tune`` carries its fingering. A log that is there stays. Everything is made beside the folder
    first. Raises InputError where the folder can't be written.
    """
    folder = folder.resolve()
    if folder.exists() and not folder.is_dir():
        raise InputError(f"{folder}: this is a file; name a folder")
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".practice-", dir=folder.parent) as space:
            draft = Path(space) / folder.name
            draft.mkdir()
            (draft / "practice.pdf").write_bytes(practice_sheet(tune, course, plan, caution))
            (draft / "progress.svg").write_text(draw_progress(course, PROGRESS_WIDTH), "utf-8")
            answer = json.dumps(course_json(course, plan), ensure_ascii=False, indent=1)
            (draft / "practice.json").write_text(answer, "utf-8")
            step()
            _write_audio(tune, course, draft)
            _drop_old_audio(folder)
            shutil.copytree(draft, folder, dirs_exist_ok=True)
    except OSError as error:
        raise InputError(f"{folder}: can't be written ({error.strerror}); choose another folder") from None
    step()


def write_standing(course: Course, folder: Path, plan: Plan | None = None) -> None:
    """After a try was logged: the progress and the data again, without the audio."""
    answer = json.dumps(course_json(course, plan), ensure_ascii=False, indent=1)
    write_whole(folder / "practice.json", answer.encode())
    write_whole(folder / "progress.svg", draw_progress(course, PROGRESS_WIDTH).encode())


def _write_audio(tune: Tune, course: Course, folder: Path) -> None:
    for number, each in enumerate(course.loops, 1):
        place = folder / f"loop-{number}"
        place.mkdir()
        loop = loop_tune(tune, each.loop, TIMES)
        for tempo in each.ladder.tempos:
            record(loop.at_tempo(tempo), place / f"{tempo:05.1f}.ogg", Wish(clicked=True))


def _drop_old_audio(folder: Path) -> None:
    """Loops of an earlier run would be mistaken for today's."""
    for place in folder.glob("loop-[0-9]*"):
        if place.is_dir() and not place.is_symlink() and all(f.suffix == ".ogg" for f in place.iterdir()):
            shutil.rmtree(place)
