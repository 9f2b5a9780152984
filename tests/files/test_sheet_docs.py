"""The examples in the guide are sheets that read."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from solowright.files.sheet import read_sheet, write_sheet
from solowright.music.tune import Tune

GUIDE = Path(__file__).parents[2] / "docs" / "sheet.md"
EXAMPLES = re.findall(r"```solo\n(.*?)```", GUIDE.read_text(encoding="utf-8"), re.DOTALL)


def test_there_are_examples() -> None:
    assert len(EXAMPLES) == 4


@pytest.mark.parametrize("text", EXAMPLES)
def test_an_example_reads_and_is_written_back_equal(text: str) -> None:
    tune = read_sheet(text.encode(), "guide.solo")
    assert isinstance(tune, Tune)
    assert read_sheet(write_sheet(tune), "guide.solo") == tune
