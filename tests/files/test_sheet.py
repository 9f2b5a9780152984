"""Sheets: what is written reads back equal, and whatever is typed ends in a Tune or a FileError."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from solowright.errors import FileError
from solowright.files.sheet import read_chart, read_sheet, write_sheet
from solowright.files.tab_write import fits_tab
from solowright.music.line import Line
from solowright.music.tune import Tune
from tests.files.any_tunes import charts, free_tunes, tunes

CAREFUL = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])


@settings(CAREFUL, max_examples=150)
@given(tunes())
def test_a_tune_with_frets_is_written_as_tablature_and_reads_back_equal(tune: Tune) -> None:
    assert fits_tab(tune)
    sheet = write_sheet(tune)
    assert read_sheet(sheet, "x.solo") == tune
    assert b"|" in sheet.partition(b"line:")[2] or not tune.line.notes


@settings(CAREFUL, max_examples=60)
@given(free_tunes())
def test_a_tune_without_frets_reads_back_equal(tune: Tune) -> None:
    assert read_sheet(write_sheet(tune), "x.solo") == tune


@settings(CAREFUL, max_examples=60)
@given(charts())
def test_a_chart_reads_back_equal(chart) -> None:
    sheet = write_sheet(Tune("x", chart))
    assert read_chart(sheet, "x.txt") == chart
