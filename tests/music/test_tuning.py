import pytest
from hypothesis import given
from hypothesis import strategies as st

from solowright.errors import InputError
from solowright.music.tuning import TUNINGS, parse_capo, parse_tuning, tuning_text


@given(st.lists(st.integers(20, 90), min_size=1, max_size=12).map(sorted))
def test_what_is_written_is_read_again(low_up):
    tuning = tuple(reversed(low_up))
    assert parse_tuning(tuning_text(tuning)) == tuning


@pytest.mark.parametrize("name", TUNINGS)
def test_a_name_is_its_strings(name):
    assert parse_tuning(name.title()) == parse_tuning(TUNINGS[name])


@pytest.mark.parametrize("text", ["D A D G B E", "DADGBE", "D2 A2 D3 G3 B3 E4"])
def test_strings_without_octaves_are_near_the_usual_ones(text):
    assert parse_tuning(text) == (64, 59, 55, 50, 45, 38)


@pytest.mark.parametrize(
    ("text", "said"),
    [("dropd", "did you mean 'drop d'"), ("E4 B3", "from the low one up"), ("C99 E4", "can't sound")],
)
def test_mistakes_are_named(text, said):
    with pytest.raises(InputError, match=said):
        parse_tuning(text)


def test_a_capo_is_a_fret():
    assert parse_capo("7") == 7
    with pytest.raises(InputError, match="write 0 to 12"):
        parse_capo("13")
