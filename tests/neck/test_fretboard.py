from hypothesis import given
from hypothesis import strategies as st

from solowright.music.tune import STANDARD_TUNING
from solowright.neck import Fretboard, Spot, places_of

DROP_D = (*STANDARD_TUNING[:5], 38)


def test_a_pitch_lies_in_several_places_highest_string_first():
    assert places_of(64) == (Spot(1, 0), Spot(2, 5), Spot(3, 9), Spot(4, 14), Spot(5, 19))


@given(st.integers(20, 100), st.integers(0, 7), st.sampled_from([STANDARD_TUNING, DROP_D]))
def test_places_sound_their_pitch_and_lie_on_the_neck(midi, capo, tuning):
    board = Fretboard(tuning, capo)
    for spot in board.spots(midi):
        assert board.sounds(spot) == midi
        assert 0 <= spot.fret <= board.last
    assert bool(board.spots(midi)) == (board.out_of_range(midi) is None)


def test_out_of_range_says_by_how_much_and_what_to_do():
    board = Fretboard()
    assert board.out_of_range(38) == (
        "D2 lies 2 semitones below the lowest string (E2); move the line up an octave, or retune"
    )
    assert board.out_of_range(100) == (
        "E7 lies 14 semitones above the last fret (fret 22 sounds D6); move the line down 2 octaves"
    )


def test_natural_harmonics_lie_at_their_nodes():
    spots = Fretboard().harmonic_spots(76)  # E5: an octave above the first string, and others
    assert Spot(1, 12) in spots
    twelfths = Fretboard().harmonic_spots(64)  # E4: a twelfth above A2, two octaves above E2
    assert {Spot(5, 7), Spot(5, 19), Spot(6, 5)} <= set(twelfths)
