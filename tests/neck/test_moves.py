"""Moves between single notes, read off by hand; assumed constants come from the player."""

from math import log2

import numpy as np
import pytest

from solowright.neck import Fretboard, Player, fret_distance, gap
from solowright.neck.hands import Want, find_hands
from solowright.neck.moves import HAMMER, PULL, SLIDE, find_cuts, find_moves
from solowright.neck.player import PAIRS

BOARD, PLAYER = Fretboard(), Player()
WEIGH, TIMING = PLAYER.effort, PLAYER.timing


def at(string, fret, finger, position, **more):
    """A moment with one state: a single finger on one spot."""
    midi = BOARD.open[string - 1] + fret
    hands = find_hands((Want(midi, string, fret, finger, **more),), BOARD, PLAYER)
    row = next(i for i, hold in enumerate(hands.holds) if hold.position == position)
    return hands, row


def grids(moves):
    """Effort, shift and plant of every move."""
    return [moves.split(part)[0] for part in moves.parts[:3]]


def move(before, after):
    (a, row), (b, column) = before, after
    moves = find_moves(a, b)
    effort, shift, _ = grids(moves)
    kinds = [int(kind) for start, goal, kind in
             zip(moves.slurs.start, moves.slurs.goal, moves.slurs.kind, strict=True)
             if (start, goal) == (row, column)]
    return (effort[row, column], shift[row, column], moves.split(moves.needed)[0][row, column],
            kinds[0] if kinds else 0)


def test_the_next_finger_on_one_string_costs_next_to_nothing_and_can_be_hammered():
    effort, shift, needed, slur = move(at(3, 5, 1, 5), at(3, 6, 2, 5))
    assert (effort, shift, needed, slur) == (0.0, 0.0, TIMING.finger, HAMMER)


@pytest.mark.parametrize(("one", "other", "frets"), [(1, 2, (1, 2)), (1, 4, (1, 4)), (3, 4, (10, 12))])
def test_fingers_past_their_rest_cost_by_the_millimetre(one, other, frets):
    low, high = frets
    wide = high - low - (other - one)  # only the little finger leaves its fret
    after = at(3, high, other, high - other + 1 - wide)
    before = at(3, low, one, low - one + 1)
    past = fret_distance(high) - fret_distance(low) - PAIRS[one, other].rest
    assert past > 0
    assert move(before, after)[0] == pytest.approx(WEIGH.spread * past)


def test_ring_and_little_finger_reach_two_frets_high_up_only():
    """Frets 5 and 7 lie 53 mm apart, 12 and 14 only 35."""
    assert move(at(3, 5, 3, 3), at(3, 7, 4, 3))[0] == np.inf
    assert np.isfinite(move(at(3, 12, 3, 10), at(3, 14, 4, 10))[0])


def plant(before, after):
    (a, row), (b, column) = before, after
    return grids(find_moves(a, b))[2][row, column]


def test_only_the_index_may_lead_a_shift():
    assert plant(at(4, 16, 3, 14), at(4, 14, 4, 11)) == WEIGH.cross  # ring at 16, little at 14
    assert plant(at(4, 5, 2, 4), at(4, 6, 1, 6)) == 0  # the index passes the middle finger on the way up
    assert plant(at(4, 5, 1, 5), at(4, 4, 4, 1)) == 0  # the others land behind it on the way down


def grip(fingers, frets, strings=(2, 3)):
    wants = tuple(Want(BOARD.open[s - 1] + fret, s, fret, finger)
                  for s, fret, finger in zip(strings, frets, fingers, strict=True))
    return find_hands(wants, BOARD, PLAYER), 0


def test_a_grip_that_comes_again_keeps_its_fingers():
    same, other = grip((3, 1), (9, 7)), grip((4, 2), (9, 7))
    assert move(same, other)[0] - move(same, same)[0] == pytest.approx(WEIGH.unison)


def test_a_grip_that_moves_along_the_neck_keeps_its_shape():
    here, there, other = grip((3, 1), (9, 7)), grip((3, 1), (12, 10)), grip((4, 2), (12, 10))
    assert move(here, there)[0] == 0
    assert move(here, other)[0] == pytest.approx(WEIGH.reshape)


def test_down_to_a_waiting_finger_is_a_pull_off():
    assert move(at(3, 7, 3, 5), at(3, 5, 1, 5))[3] == PULL
    assert move(at(3, 7, 1, 7), at(3, 5, 3, 3))[3] == 0  # no finger waits: the hand has to go


def test_open_strings_take_hammer_ons_and_pull_offs():
    assert move(at(3, 0, 0, 2), at(3, 2, 1, 2))[3] == HAMMER
    assert move(at(3, 2, 1, 2), at(3, 0, 0, 2))[3] == PULL


def test_a_free_hand_moves_and_does_not_stretch():
    """Little finger a fret on: out of an open string that costs once more."""
    wide, natural = at(1, 9, 4, 5), at(1, 9, 4, 6)
    stretch = wide[0].holds[wide[1]].stretch
    assert stretch > 0 and natural[0].holds[natural[1]].stretch == 0
    a, b = move(at(2, 0, 0, 5), wide)[0], move(at(2, 0, 0, 6), natural)[0]
    assert a - b == pytest.approx(stretch)
    assert move(at(2, 5, 1, 5), wide)[0] < stretch


def test_an_open_string_keeps_the_position():
    (a, row), (b, _) = at(3, 5, 1, 5), at(3, 0, 0, 5)
    effort = grids(find_moves(a, b))[0][row]
    reached = {(int(b.position[i]), int(b.run[i])) for i in np.flatnonzero(np.isfinite(effort))}
    assert reached == {(5, 1)}


def test_a_shift_costs_its_millimetres_and_the_time_of_a_pointed_move():
    effort, shift, needed, slur = move(at(3, 5, 1, 5), at(2, 10, 1, 10))
    mm = fret_distance(10) - fret_distance(5)
    assert shift == pytest.approx(WEIGH.shift + WEIGH.travel * mm)
    assert needed == pytest.approx(TIMING.lift + TIMING.bit * log2(2 * mm / gap(10)))
    assert effort == pytest.approx(WEIGH.string)
    assert plant(at(3, 5, 1, 5), at(2, 10, 1, 10)) == pytest.approx(WEIGH.jump)
    assert slur == 0


def test_a_stretch_does_not_shorten_the_way_of_a_finger():
    moves = find_moves(at(1, 5, 1, 6)[0], at(1, 10, 1, 10)[0])
    row, column = at(1, 5, 1, 6)[1], at(1, 10, 1, 10)[1]
    assert moves.travel[row, column] == pytest.approx(fret_distance(10) - fret_distance(5))


def test_a_slide_keeps_its_finger_and_needs_no_lift():
    (a, row), (b, column) = at(3, 5, 2, 4), at(3, 9, 2, 8)
    moves = find_moves(a, b)
    found = [i for i in range(len(moves.slurs.kind))
             if (moves.slurs.start[i], moves.slurs.goal[i]) == (row, column)]
    assert [int(moves.slurs.kind[i]) for i in found] == [SLIDE]
    mm = fret_distance(8) - fret_distance(4)
    assert moves.split(moves.needed)[1][found[0]] == pytest.approx(TIMING.bit * log2(2 * mm / gap(8)))


def test_one_finger_rolls_or_jumps():
    assert move(at(3, 5, 1, 5), at(2, 5, 1, 5))[2] == TIMING.roll
    assert move(at(3, 5, 1, 5), at(1, 4, 1, 5))[2] == TIMING.jump
    assert plant(at(3, 5, 1, 5), at(1, 4, 1, 5)) > plant(at(3, 5, 1, 5), at(2, 5, 1, 5)) > 0


def test_a_laid_finger_is_on_all_its_strings():
    """From a fourth under one finger to a note of it nothing moves; the other way the finger is laid."""
    fourth = grip((1, 1), (5, 5))
    for one in (at(2, 5, 1, 5), at(3, 5, 1, 5)):
        assert (plant(fourth, one), move(fourth, one)[2]) == (0, 0)
        assert (plant(one, fourth), move(one, fourth)[2]) == (0, TIMING.finger)
    assert plant(fourth, at(1, 5, 1, 5)) > 0


def test_slurs_stay_on_one_string_and_away_from_dead_notes():
    assert move(at(3, 5, 1, 5), at(2, 7, 3, 5))[3] == 0
    assert move(at(3, 5, 0, 5, kind="dead"), at(3, 7, 3, 5))[3] == 0


def test_what_rings_is_cut_by_its_own_string_and_by_a_shift():
    def cut(before, after):
        return bool(find_cuts(before[0], after[0])[before[1], after[1]])

    assert not cut(at(3, 7, 3, 5), at(2, 5, 1, 5))
    assert cut(at(3, 7, 3, 5), at(3, 5, 1, 5))
    assert cut(at(3, 7, 3, 5), at(2, 9, 3, 7))
    assert not cut(at(3, 0, 0, 5), at(2, 9, 3, 7))
