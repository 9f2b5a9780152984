"""Exposure times against published tables.

Source: NIOSH, Criteria for a Recommended Standard: Occupational Noise Exposure, publication 98-126 (1998),
recommended exposure limit 85 dB(A) as an 8-hour average with a 3-dB exchange rate; its table of exposure
levels and durations. 85 to 100 dB(A) were read in NIOSH's own text; 103 and 106 follow from the formula
there and are as commonly tabulated.
"""

from __future__ import annotations

import pytest

from solowright.practice.loudness import allowed_minutes, average_level, dose


@pytest.mark.parametrize(
    ("level", "minutes"),
    [(85, 480), (88, 240), (91, 120), (94, 60), (97, 30), (100, 15), (103, 7.5), (106, 3.75)],
)
def test_durations(level: float, minutes: float) -> None:
    assert allowed_minutes(level) == pytest.approx(minutes)


def test_a_full_dose_is_85_over_eight_hours() -> None:
    assert dose([(85.0, 480.0)]) == pytest.approx(100.0)
    assert average_level(100.0) == pytest.approx(85.0)
    assert average_level(200.0) == pytest.approx(88.01, abs=0.005)  # NIOSH 98-126: TWA = 10 log(D/100) + 85
