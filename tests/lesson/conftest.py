"""A tune of four bars and the whole lesson made of it, once for all tests."""

from __future__ import annotations

from pathlib import Path

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
def pack(steps: Tune, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The lesson's folder."""
    return write_lesson(steps, tmp_path_factory.mktemp("packs") / "steps")
