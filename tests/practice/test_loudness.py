"""The words about a measured level. The figures are checked in ``tests/outside``."""

from __future__ import annotations

import pytest

from solowright.errors import InputError
from solowright.practice.loudness import allowed_minutes, average_level, dose, loudness_caution


def test_words_tell_time_and_turn_it_down() -> None:
    assert "30 minutes" in loudness_caution(97.0, 40.0) and "turn it down" in loudness_caution(97.0, 40.0)
    assert "turn it down" not in loudness_caution(91.0, 40.0)
    assert "stays within" in loudness_caution(80.0, 40.0)
    assert "seconds" in loudness_caution(115.0, 1.0)


def test_dose_and_average_agree() -> None:
    assert dose([(91.0, 60.0), (88.0, 120.0)]) == pytest.approx(100.0)
    assert average_level(dose([(91.0, 480.0)])) == pytest.approx(91.0, abs=0.03)  # 3 dB: not quite twice


@pytest.mark.parametrize("level", [0.0, 500.0])
def test_a_level_no_meter_shows_is_refused(level: float) -> None:
    with pytest.raises(InputError, match="meter"):
        allowed_minutes(level)
