"""A tune of four bars and the whole lesson made of it, once for all tests."""

from __future__ import annotations

from pathlib import Path
from time import perf_counter

import pytest

from solowright.lesson.pack import write_lesson
from solowright.music.tune import Tune
from solowright.work import Worked, work_out
from tests.lesson.tunes import steps_tune


@pytest.fixture(scope="session")
def worked() -> Worked:
    return work_out(steps_tune())


@pytest.fixture(scope="session")
def steps(worked: Worked) -> Tune:
    return worked.tune


@pytest.fixture(scope="session")
def told() -> list[float]:
    """Seconds into the making of ``pack`` at which each step was told."""
    return []


@pytest.fixture(scope="session")
def pack(steps: Tune, told: list[float], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The lesson's folder."""
    start = perf_counter()
    folder = tmp_path_factory.mktemp("packs") / "steps"
    return write_lesson(steps, folder, step=lambda: told.append(perf_counter() - start))
