"""What a sheet says of the hand that plays: read, written back, and refused with its place."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.errors import FileError
from solowright.files.sheet import read_sheet, write_sheet
from solowright.music.chart import Bar, Chart, Section
from solowright.music.hand import AS_IT_IS, LISTS, WORDS, Hand
from solowright.music.tune import Tune

SHEET = """\
frets: 24
scale length: 628.65
reach: 120
pick rate: 9.5
taps: yes
weak fingers: 3 4
positions: none
open strings: avoid
legato: much
| A7 |
"""


def test_every_line_is_read() -> None:
    hand = read_sheet(SHEET.encode(), "x.solo").hand
    assert hand == Hand(628.65, 24, 120.0, 9.5, True, (3, 4), (), "avoid", "much")
    assert read_sheet(b"| A7 |\n", "x.solo").hand == AS_IT_IS


def lists(low: int, high: int) -> st.SearchStrategy[tuple[int, ...] | None]:
    return st.none() | st.lists(st.integers(low, high), max_size=4).map(tuple)


hands = st.builds(
    Hand,
    scale=st.none() | st.sampled_from((628.65, 647.7, 700.0)),
    frets=st.none() | st.integers(12, 36),
    reach=st.none() | st.sampled_from((60.0, 117.25, 250.0)),
    pick_rate=st.none() | st.sampled_from((2.0, 9.5, 25.0)),
    taps=st.none() | st.booleans(),
    weak_fingers=lists(*LISTS["weak_fingers"]),
    positions=lists(*LISTS["positions"]),
    open_strings=st.none() | st.sampled_from(WORDS["open_strings"]),
    legato=st.none() | st.sampled_from(WORDS["legato"]),
)


@settings(max_examples=60, deadline=None)
@given(hands)
def test_what_is_written_reads_back_equal(hand: Hand) -> None:
    tune = Tune("x", Chart((Section("", (Bar(),)),)), hand=hand)
    assert read_sheet(write_sheet(tune), "x.solo") == tune
    assert (hash(tune) == hash(replace(tune, hand=AS_IT_IS))) == (hand == AS_IT_IS)


@pytest.mark.parametrize(
    ("line", "column", "said"),
    [
        ("frets: 24.5", 8, "'24.5' is no number from 12 to 36"),
        ("reach:  wide", 9, "'wide' is no number from 60 to 250"),
        ("scale length: 25.5", 15, "'25.5' is no number from 300 to 900"),
        ("pick rate: 40", 12, "'40' is no number from 2 to 25"),
        ("taps: true", 7, "'true' is neither yes nor no"),
        ("weak fingers: 4 5", 15, "'4 5' is no list of numbers from 1 to 4; write such as 1 4, or none"),
        ("positions:", 11, "'' is no list of numbers from 1 to 24"),
        ("open strings: avoided", 15, "'avoided' is unknown here (did you mean 'avoid'?)"),
        ("legato: lots", 9, "'lots' is unknown here; write little or some or much"),
        ("weak finger: 4", 1, "'weak finger' is not a header key (did you mean 'weak fingers'?)"),
    ],
)
def test_mistakes_are_told_with_their_place(line: str, column: int, said: str) -> None:
    with pytest.raises(FileError) as found:
        read_sheet(f"title: x\n{line}\n| A7 |\n".encode(), "x.solo")
    assert str(found.value.problems[0]).startswith(f"x.solo:2:{column}: {said}")
