from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.neck import Fretboard, Player, Spot
from solowright.neck.hands import Want, find_hands

BOARD, PLAYER = Fretboard(), Player()


def hold_set(*wants):
    hands = find_hands(tuple(wants), BOARD, PLAYER)
    return hands.holds if hands else ()


def test_one_finger_a_fret_gives_each_finger_its_position():
    holds = [hold for hold in hold_set(Want(57)) if hold.spots == (Spot(4, 7),)]
    natural = {(hold.fingers[0], hold.position) for hold in holds}
    assert {(1, 7), (2, 6), (3, 5), (4, 4)} <= natural
    assert natural - {(1, 7), (2, 6), (3, 5), (4, 4)} == {(1, 8), (4, 3)}  # index back, little finger on


def test_an_open_string_leaves_the_hand_where_it_is():
    free = [hold for hold in hold_set(Want(64)) if hold.spots == (Spot(1, 0),)]
    assert {hold.position for hold in free} == set(range(BOARD.last + 1))
    assert all(hold.fingers == (0,) and hold.run for hold in free)


def test_locks_leave_only_what_they_allow():
    assert {hold.spots for hold in hold_set(Want(64, string=3))} == {(Spot(3, 9),)}
    assert {hold.fingers for hold in hold_set(Want(64, finger=2))} == {(2,)}
    assert all(hold.spots[0].fret for hold in hold_set(Want(64, finger=2)))
    assert {hold.spots for hold in hold_set(Want(64, finger=0))} == {(Spot(1, 0),)}
    assert not hold_set(Want(64, string=1, fret=3))


def test_a_finger_may_be_pulled_in_to_its_neighbour_at_the_nut():
    """Fret 3 of the first position with the little finger."""
    natural, pulled = ([hold for hold in hold_set(Want(43, 6, 3)) if hold.fingers == (finger,)]
                       for finger in (3, 4))
    assert {hold.position for hold in natural} == {hold.position for hold in pulled} == {1}
    weigh = PLAYER.effort
    assert pulled[0].effort - natural[0].effort == pytest.approx(
        weigh.bunch + weigh.fingers[3] - weigh.fingers[2]
    )
    assert not [hold for hold in hold_set(Want(42, 6, 2)) if hold.fingers == (4,)]


def test_a_locked_finger_may_bunch_up_further():
    assert {(hold.fingers, hold.position) for hold in hold_set(Want(41, finger=3))} == {((3,), 1)}


def test_bends_and_vibrato_need_a_finger():
    for want in (Want(64, bent=True), Want(64, stopped=True)):
        assert all(hold.spots[0].fret for hold in hold_set(want))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(40, 80), min_size=2, max_size=5, unique=True))
def test_every_grip_is_one_a_hand_can_make(pitches):
    for hold in hold_set(*(Want(midi) for midi in sorted(pitches, reverse=True))):
        assert len({spot.string for spot in hold.spots}) == len(pitches)
        down = sorted((spot.fret, finger, spot.string) for spot, finger in
                      zip(hold.spots, hold.fingers, strict=True) if finger)
        for fret, finger, string in down:
            for fret2, finger2, string2 in down:
                if finger == finger2:
                    assert fret == fret2  # one finger, one fret: a barre
                    between = range(min(string, string2) + 1, max(string, string2))
                    assert all(spot.fret >= fret for spot in hold.spots if spot.string in between)
                elif finger < finger2:
                    assert fret <= fret2
                    assert BOARD.span(fret, fret2) <= PLAYER.span_of(finger, finger2).most
                    assert fret < fret2 or string > string2


def test_a_grip_wider_than_the_hand_is_none():
    assert not hold_set(Want(84), Want(41))  # F2 at fret 1 and C6 at fret 20


def least(*wants):
    return min(hold_set(*wants), key=lambda hold: hold.effort)


def test_a_laid_finger_costs_by_the_string():
    fourth = least(Want(69, 1, 5), Want(64, 2, 5))
    three = least(Want(64, 2, 5), Want(60, 3, 5), Want(55, 4, 5))
    assert (fourth.fingers, three.fingers) == ((1, 1), (1, 1, 1))
    assert three.effort - fourth.effort == pytest.approx(PLAYER.effort.barre)


def test_a_laid_finger_is_arched_over_a_thinner_string_that_sounds_lower():
    """A in open position is no barre, the same shape without its top string higher up is one."""
    open_a = least(Want(64, 1, 0), Want(61, 2, 2), Want(57, 3, 2), Want(52, 4, 2), Want(45, 5, 0))
    c = least(Want(64, 2, 5), Want(60, 3, 5), Want(55, 4, 5), Want(48, 5, 3))
    assert (open_a.fingers, c.fingers) == ((0, 3, 2, 1, 0), (3, 3, 3, 1))


def test_no_finger_is_laid_from_before_the_nut_unless_it_is_written():
    wants = Want(61, 2, 2), Want(57, 3, 2)
    assert (3, 3) not in {hold.fingers for hold in hold_set(*wants)}
    assert (3, 3) in {hold.fingers for hold in hold_set(*(replace(want, finger=3) for want in wants))}


@pytest.mark.parametrize(("fret", "share"), [(1, PLAYER.effort.open_strummed), (7, PLAYER.effort.open_above)])
def test_an_open_string_in_a_grip_costs_less_in_open_position_than_further_up(fret, share):
    wants = Want(64, 1, 0), Want(59 + fret, 2, fret, 1)
    minding, not_minding = (
        find_hands(wants, BOARD, replace(PLAYER, effort=replace(PLAYER.effort, open_string=each))).holds[0]
        for each in (1.0, 0.0)
    )
    assert minding.effort - not_minding.effort == pytest.approx(share)
