"""Working out after an edit is working out anew, only quicker."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.desk import stems, worked
from solowright.desk.edits import apply_edit
from solowright.desk.kept import Kept
from solowright.desk.state import State
from solowright.desk.worked import KEPT, find_fingering, find_reading, follow, show, work_out
from solowright.errors import InputError
from solowright.harmony import read_spelled
from solowright.music import clock, notation
from solowright.neck.fingering import finger
from solowright.page import breaks, engrave, passage, staff, under
from solowright.page import hand_path as page_hand
from solowright.page.engrave import WIDTH
from solowright.web import view
from tests.desk.tunes import edited, free_lantern, lantern

EDITS = st.one_of(
    st.builds(lambda kind, note: {"kind": kind, "note": note},
              st.sampled_from(("lock", "free")), st.integers(0, 20)),
    st.builds(lambda bar, text: {"kind": "chord", "bar": bar, "text": text},
              st.integers(1, 10), st.sampled_from(("A7", "F#m7", "D9"))),
    st.builds(lambda bar: {"kind": "bar_abc", "bar": bar, "text": "A2 c2 e2 g2"}, st.integers(1, 10)),
    st.builds(lambda bar: {"kind": "insert_bars", "before": bar, "count": 1}, st.integers(1, 10)),
    st.builds(lambda bar: {"kind": "remark", "from": {"bar": bar, "beat": 1}, "text": "x"},
              st.integers(1, 10)),
)  # fmt: skip


def states_after(edits: list[dict]) -> Iterator[State]:
    """The state after each of the edits that can be made, worked out from the one before it."""
    state = lantern()
    work_out(state)
    for edit in edits:
        try:
            after = apply_edit(state, edit, work_out(state).tune)
            follow(state, after)
        except InputError:
            continue
        state = after
        yield state


@settings(max_examples=20, deadline=None)
@given(st.lists(EDITS, min_size=1, max_size=4))
def test_what_follows_is_what_would_be_found_anew(edits: list[dict]) -> None:
    for state in states_after(edits):
        assert find_fingering(state) == finger(state.tune)
        assert find_reading(state) == read_spelled(state.tune)


KEEPING = (notation, clock, breaks, engrave, page_hand, passage, staff, under, stems, worked, view)


def forget() -> None:
    """As if nothing had been drawn or told before."""
    for module in KEEPING:
        for kept in vars(module).values():
            if hasattr(kept, "cache_clear"):
                kept.cache_clear()


@settings(max_examples=8, deadline=None)
@given(st.lists(EDITS, min_size=1, max_size=4))
def test_a_view_is_the_same_where_nothing_was_drawn_before(edits: list[dict]) -> None:
    state = lantern()
    told = [show(state, WIDTH), stems.stem_keys(work_out(state).tune)]
    for state in states_after(edits):
        told = [show(state, WIDTH), stems.stem_keys(work_out(state).tune)]
    forget()
    assert told == [show(state, WIDTH), stems.stem_keys(work_out(state).tune)]


@pytest.mark.parametrize("forgotten", [False, True])
def test_what_cannot_be_played_is_told_and_not_kept(forgotten: bool) -> None:
    work_out(lantern())
    if forgotten:  # other tunes were worked out since
        for tempo in range(100, 100 + 2 * KEPT):
            work_out(edited(lantern(), "tempo", tempo=tempo))
    wrong = edited(lantern(), "entry", note=0, entry="pull")
    for _ in range(2):
        with pytest.raises(InputError, match="no note before"):
            follow(lantern(), wrong)


def test_the_view_says_what_is_fixed_and_whose_the_words_are() -> None:
    view = show(edited(free_lantern(), "lock", note=2, what=["place"]), 500.0)
    assert [note["fixed"] for note in view["notes"][:4]] == [[], [], ["place"], []]
    first = view["sentences"][0]
    assert first["whose"] == "found"
    hidden = show(edited(free_lantern(), "sentence", sentence=first["id"], hidden=True), 500.0)
    assert [one["text"] for one in hidden["hidden"]] == [first["text"]]
    assert first["text"] not in [one["text"] for one in hidden["sentences"]]


def test_the_latest_results_are_kept() -> None:
    kept: Kept[int, str] = Kept(2)
    made: list[int] = []

    def make(key: int) -> str:
        made.append(key)
        return str(key)

    for key in (1, 2, 1, 3, 1, 2):
        assert kept.find(key, lambda key=key: make(key)) == str(key)
    assert made == [1, 2, 3, 2] and kept.get(3) is None


def test_equal_states_have_equal_hashes() -> None:
    other = State(lantern().tune, lantern().extras)
    assert other == lantern() and hash(other) == hash(lantern()) and other != free_lantern()
