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


def test_a_locked_finger_may_bunch_up_at_the_nut():
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
