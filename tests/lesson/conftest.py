"""A tune of four bars and the whole lesson made of it, once for all tests."""

from __future__ import annotations

import json
import os
from pathlib import Path
from time import perf_counter, sleep

import pytest

from solowright.lesson.pack import write_lesson
from solowright.music.tune import Tune
from solowright.work import Worked, work_out
from tests.lesson.tunes import steps_tune

LONGEST = 240.0  # seconds that a pack may take on a busy machine


@pytest.fixture(scope="session")
def worked() -> Worked:
    return work_out(steps_tune())


@pytest.fixture(scope="session")
def steps(worked: Worked) -> Tune:
    return worked.tune


@pytest.fixture(scope="session")
def made(steps: Tune, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the pack and the seconds at which each step of it was told; made once, however many
    processes the tests run in: it takes longest of all that they need."""
    root = tmp_path_factory.getbasetemp()
    folder = (root.parent if "PYTEST_XDIST_WORKER" in os.environ else root) / "packs"
    seconds = folder / "seconds.json"
    try:
        folder.mkdir()
    except FileExistsError:  # another process is at it, or has been
        start = perf_counter()
        while not seconds.exists():
            assert perf_counter() - start < LONGEST, "the pack was never made"
            sleep(0.1)
        return folder
    told: list[float] = []
    start = perf_counter()
    write_lesson(steps, folder / "steps", step=lambda: told.append(perf_counter() - start))
    (folder / "part.json").write_text(json.dumps(told), "utf-8")
    (folder / "part.json").rename(seconds)
    return folder


@pytest.fixture(scope="session")
def told(made: Path) -> list[float]:
    """Seconds into the making of ``pack`` at which each step was told."""
    seconds: list[float] = json.loads((made / "seconds.json").read_text("utf-8"))
    return seconds


@pytest.fixture(scope="session")
def pack(made: Path) -> Path:
    """The lesson's folder."""
    return made / "steps"
