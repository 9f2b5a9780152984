from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.neck import finger
from solowright.neck.easing import find_easings
from tests.neck.lines import lock, run, run_midi

SIXTEENTH = Fraction(1, 4)


@settings(max_examples=25, deadline=None)
@given(st.lists(st.integers(40, 84), min_size=2, max_size=9), st.sampled_from([120, 220]))
def test_every_easing_gives_the_limit_it_says(line, bpm):
    tune = run_midi(line, SIXTEENTH, bpm)
    path = finger(tune).paths[0]
    easings = find_easings(tune, path)
    limits = [easing.limit_tempo for easing in easings]
    assert limits == sorted(limits, reverse=True)
    assert len({easing.kind for easing in easings}) == len(easings)
    for easing in easings:
        assert easing.limit_tempo > path.limit_tempo
        assert finger(easing.tune, objective="hardest").limit_tempo == easing.limit_tempo


def test_a_stroke_too_fast_is_eased_by_a_note_less():
    tune = run("A3 A3 A3 C4", SIXTEENTH, 220)
    path = finger(tune).paths[0]
    (best, *_) = find_easings(tune, path)
    assert best.kind == "leave-out" and best.what == "leave out A3 at bar 1 beat 1.25"


def test_a_bad_fingering_is_eased_by_another_place_and_an_open_string():
    tune = run("A4 E4 C5 B4", SIXTEENTH, 150)
    clumsy = finger(lock(lock(tune, 0, string=1), 1, string=5)).paths[0]
    easings = {easing.kind: easing for easing in find_easings(lock(tune, 0, string=1), clumsy)}
    assert easings["open"].what == "take E4 as the open string 1"
    assert easings["position"].what.startswith("play from bar 1 beat 1.25 to bar 1 beat ")
    assert easings["position"].limit_tempo >= easings["open"].limit_tempo > clumsy.limit_tempo
    assert easings["leave-out"].what == "leave out E4 at bar 1 beat 1.25"


def test_nothing_to_ease():
    tune = run("A3")
    assert find_easings(tune, finger(tune).paths[0]) == ()
