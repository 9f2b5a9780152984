from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.desk.state import Extras, Remark, Telling, Wording, move_extras, read_state, write_state
from solowright.desk.worked import work_out
from solowright.errors import InputError
from tests.desk.tunes import edited, free_lantern, lantern

EXTRAS = Extras(
    (Telling(Fraction(1, 3), Fraction(2), "scale-run"),),
    (Wording(Fraction(0), Fraction(1), 0, "mine"), Wording(Fraction(0), Fraction(1), 1, None)),
    (Remark(Fraction(4), Fraction(6), "watch the shift"),),
)


@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.integers(0, 20),
            st.sampled_from(("lock", "free")),
            st.sampled_from((["place"], ["finger"], ["entry"], ["place", "entry"])),
        ),
        max_size=6,
    )
)
def test_what_is_written_is_read_back(edits: list[tuple[int, str, list[str]]]) -> None:
    state = replace(free_lantern(), extras=EXTRAS)
    for note, kind, what in edits:
        state = edited(state, kind, note=note, what=what)
    sheet, rest = write_state(state, work_out(state).tune)
    assert read_state(sheet, json.loads(json.dumps(rest)), "x.solo") == state


def test_a_sheet_alone_is_all_the_players_own() -> None:
    state = free_lantern()
    sheet, _ = write_state(state, work_out(state).tune)
    alone = read_state(sheet, None, "x.solo")
    places = [(note.string, note.fret) for note in work_out(state).tune.line.notes]
    assert [(note.string, note.fret) for note in alone.tune.line.notes] == places


def test_the_sheet_is_plain_tablature() -> None:
    text = write_state(free_lantern(), work_out(free_lantern()).tune)[0].decode()
    assert "e|" in text and "fingers" not in text and "picks" not in text


@pytest.mark.parametrize("rest", [{}, {"fixed": []}, {"fixed": [[1]] * 21}, {"fixed": 3}])
def test_another_rest_is_refused(rest: dict) -> None:
    sheet, _ = write_state(lantern(), lantern().tune)
    with pytest.raises(InputError, match="the sheet alone"):
        read_state(sheet, rest, "x.solo")


def test_extras_move_with_their_bars() -> None:
    moved = move_extras(EXTRAS, lambda time: None if time < 1 else time + 8)
    assert moved.remarks == (Remark(Fraction(12), Fraction(14), "watch the shift"),)
    assert moved.tellings == moved.wordings == ()
