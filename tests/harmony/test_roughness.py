"""Roughness against what Plomp and Levelt's listeners and any guitarist hear."""

from __future__ import annotations

import pytest

from solowright.harmony.roughness import roughness


def test_half_steps_beat_and_octaves_do_not() -> None:
    assert roughness(69, 70) == pytest.approx(1.0)
    assert roughness(69, 81) < roughness(69, 76) < roughness(69, 73) < roughness(69, 71) < roughness(69, 70)


def test_a_third_low_on_the_neck_is_rougher_than_high_up() -> None:
    assert roughness(40, 44) > roughness(52, 56) > roughness(64, 68)


def test_which_note_is_named_first_makes_no_difference() -> None:
    assert roughness(60, 67) == pytest.approx(roughness(67, 60))
