"""The way through repeats, endings and jumps, worked out by hand as a player would."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.errors import InputError
from solowright.files.repeats import MAX_BARS, Signs, play_order


def order(*signs: Signs) -> list[int]:
    return [turn.index for turn in play_order(signs)]


PLAIN = Signs()


def test_without_signs_every_bar_is_played_once() -> None:
    assert order(PLAIN, PLAIN, PLAIN) == [0, 1, 2]


def test_a_repeat_without_a_beginning_goes_back_to_the_start() -> None:
    assert order(PLAIN, Signs(backward=2), PLAIN) == [0, 1, 0, 1, 2]


def test_a_repeat_goes_back_to_its_sign_and_as_often_as_it_says() -> None:
    assert order(PLAIN, Signs(forward=True, backward=3), PLAIN) == [0, 1, 1, 1, 2]


def test_a_second_repeat_goes_back_to_the_end_of_the_first() -> None:
    assert order(PLAIN, Signs(backward=2), PLAIN, Signs(backward=2)) == [0, 1, 0, 1, 2, 3, 2, 3]


def test_first_and_second_ending() -> None:
    first = Signs(ending=(1,), ending_stop=True, backward=2)
    second = Signs(ending=(2,), ending_stop=True)
    assert order(PLAIN, first, second, PLAIN) == [0, 1, 0, 2, 3]
    assert [turn.passage for turn in play_order((PLAIN, first, second, PLAIN))] == [1, 1, 2, 2, 1]


def test_one_ending_for_two_passages() -> None:
    first = Signs(ending=(1, 2), ending_stop=True, backward=2)
    assert order(PLAIN, first, Signs(ending=(3,), ending_stop=True)) == [0, 1, 0, 1, 0, 2]


def test_a_bracket_over_the_first_bar_only_goes_on_to_its_repeat() -> None:
    first, second = Signs(ending=(1,), ending_stop=True), Signs(ending=(2,), ending_stop=True)
    assert order(PLAIN, first, Signs(backward=2), second) == [0, 1, 2, 0, 3]


def test_so_does_a_first_bracket_without_a_second() -> None:
    signs = (PLAIN, Signs(ending=(1,), ending_stop=True), Signs(backward=2), PLAIN)
    assert order(*signs) == [0, 1, 2, 0, 3]


def test_a_last_bracket_does_not_swallow_the_next_repeat() -> None:
    signs = (
        PLAIN, Signs(ending=(1,), ending_stop=True, backward=2), Signs(ending=(2,), ending_stop=True),
        PLAIN, Signs(backward=2),
    )  # fmt: skip
    assert order(*signs) == [0, 1, 0, 2, 3, 4, 3, 4]


def test_an_ending_for_a_passage_that_never_comes_is_left_out() -> None:
    signs = (PLAIN, Signs(ending=(1,), backward=2), Signs(ending=(2,)), Signs(ending=(3,)), PLAIN)
    assert order(*signs) == [0, 1, 0, 2, 4]


def test_a_first_ending_alone_is_left_out_the_second_time() -> None:
    assert order(PLAIN, Signs(ending=(1,), backward=2), PLAIN) == [0, 1, 0, 2]


def test_an_excerpt_that_begins_in_a_second_ending_is_played() -> None:
    assert order(Signs(ending=(2,), ending_stop=True), PLAIN) == [0, 1]


def test_more_passages_than_endings_take_the_last_one() -> None:
    signs = (PLAIN, Signs(ending=(1,), backward=2), Signs(ending=(2,), backward=3), PLAIN)
    assert order(*signs) == [0, 1, 0, 2, 0, 2, 3]


def test_da_capo_al_fine_does_not_repeat_again() -> None:
    signs = (Signs(forward=True, backward=2), Signs(fine=True), Signs(to_start=True))
    assert order(*signs) == [0, 0, 1, 2, 0, 1]


def test_dal_segno_al_coda() -> None:
    signs = (PLAIN, Signs(segno="s"), Signs(to_coda="c"), Signs(to_segno="s"), Signs(coda="c"), PLAIN)
    assert order(*signs) == [0, 1, 2, 3, 1, 2, 4, 5]


def test_after_da_capo_the_last_ending_is_taken_and_the_coda_repeats() -> None:
    signs = (
        PLAIN, Signs(ending=(1,), backward=2), Signs(ending=(2,), to_coda="c"), Signs(to_start=True),
        Signs(coda="c", forward=True, backward=2),
    )  # fmt: skip
    assert order(*signs) == [0, 1, 0, 2, 3, 0, 2, 4, 4]


def test_a_label_that_no_sign_has_finds_the_only_sign() -> None:
    assert order(Signs(segno="segno1"), Signs(to_segno="other")) == [0, 1, 0, 1]


def test_a_jump_to_nowhere_is_an_error_with_its_bar() -> None:
    with pytest.raises(InputError, match="bar 2: the jump to a segno finds no segno"):
        order(Signs("1"), Signs("2", to_segno="segno"))
    with pytest.raises(InputError, match="bar 1: the jump to a coda finds no coda"):
        order(Signs("1", to_coda="coda"), Signs("2", to_start=True))


def test_endless_repeats_are_an_error() -> None:
    with pytest.raises(InputError, match=f"more than {MAX_BARS} bars"):
        order(Signs(backward=10**9))


signs = st.builds(
    Signs,
    bar=st.just("1"),
    forward=st.booleans(),
    backward=st.sampled_from((0, 0, 2, 3)),
    ending=st.sampled_from(((), (), (1,), (2,), (1, 2), (3,))),
    ending_stop=st.booleans(),
    segno=st.sampled_from((None, None, "s")),
    coda=st.sampled_from((None, None, "c")),
    to_segno=st.sampled_from((None, None, "s")),
    to_coda=st.sampled_from((None, None, "c")),
    to_start=st.booleans(),
    fine=st.booleans(),
)


@settings(max_examples=200, deadline=None)
@given(st.lists(signs, min_size=1, max_size=8))
def test_any_signs_give_an_order_or_one_line(written: list[Signs]) -> None:
    try:
        turns = play_order(tuple(written))
    except InputError as error:
        assert "\n" not in str(error)
        return
    assert 0 < len(turns) <= MAX_BARS
    for before, after in pairwise(turns):
        moved_on = after.index == before.index + 1
        skipped = after.index > before.index and written[before.index + 1].ending
        jumped = written[before.index].backward or written[before.index].to_start
        jumped = jumped or written[before.index].to_segno or written[before.index].to_coda
        assert moved_on or skipped or jumped
