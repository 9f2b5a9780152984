"""Real lead sheets, typed by nobody here, become sheets and come back equal.

Source of the scores: the open data set ``leadsheets`` (its README names where they are from).
"""

from __future__ import annotations

from solowright.files.load import load
from solowright.files.sheet import read_sheet, write_sheet
from tests.data import data_folder


def test_lead_sheets_written_as_sheets_read_back_equal() -> None:
    scores = sorted(data_folder("leadsheets").glob("*.mxl"))
    assert len(scores) >= 31
    differing = []
    for score in scores:
        tune = load(score)
        if read_sheet(write_sheet(tune), "x.solo") != tune:
            differing.append(score.name)
    assert not differing
