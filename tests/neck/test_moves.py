"""Moves between single notes, read off by hand; assumed constants come from the player."""

from math import log2

import numpy as np
import pytest

from solowright.neck import Fretboard, Player, fret_distance, gap
from solowright.neck.hands import Want, find_hands
from solowright.neck.moves import HAMMER, PULL, SLIDE, find_cuts, find_moves

BOARD, PLAYER = Fretboard(), Player()
WEIGH, TIMING = PLAYER.effort, PLAYER.timing


def at(string, fret, finger, position, **more):
    """A moment with one state: a single finger on one spot."""
    midi = BOARD.open[string - 1] + fret
    hands = find_hands((Want(midi, string, fret, finger, **more),), BOARD, PLAYER)
    row = next(i for i, hold in enumerate(hands.holds) if hold.position == position)
    return hands, row


def move(before, after):
    (a, row), (b, column) = before, after
    moves = find_moves(a, b, BOARD, PLAYER)
    kinds = [int(kind) for start, goal, kind in
             zip(moves.slurs.start, moves.slurs.goal, moves.slurs.kind, strict=True)
             if (start, goal) == (row, column)]
    return (moves.effort[row, column], moves.shift[row, column], moves.needed[row, column],
            kinds[0] if kinds else 0)


def test_the_next_finger_on_one_string_costs_next_to_nothing_and_can_be_hammered():
    effort, shift, needed, slur = move(at(3, 5, 1, 5), at(3, 6, 2, 5))
    assert (effort, shift, needed, slur) == (0.0, 0.0, TIMING.finger, HAMMER)
    spread = fret_distance(8) - fret_distance(5) - WEIGH.spread_free
    assert move(at(3, 5, 1, 5), at(3, 8, 4, 5))[0] == pytest.approx(WEIGH.spread * spread)


def test_down_to_a_waiting_finger_is_a_pull_off():
    assert move(at(3, 7, 3, 5), at(3, 5, 1, 5))[3] == PULL
    assert move(at(3, 7, 1, 7), at(3, 5, 3, 3))[3] == 0  # no finger waits: the hand has to go


def test_open_strings_take_hammer_ons_and_pull_offs():
    assert move(at(3, 0, 0, 2), at(3, 2, 1, 2))[3] == HAMMER
    assert move(at(3, 2, 1, 2), at(3, 0, 0, 2))[3] == PULL


def test_an_open_string_keeps_the_position():
    (a, row), (b, _) = at(3, 5, 1, 5), at(3, 0, 0, 5)
    effort = find_moves(a, b, BOARD, PLAYER).effort[row]
    reached = {(int(b.position[i]), int(b.run[i])) for i in np.flatnonzero(np.isfinite(effort))}
    assert reached == {(5, 1)}


def test_a_shift_costs_its_millimetres_and_the_time_of_a_pointed_move():
    effort, shift, needed, slur = move(at(3, 5, 1, 5), at(2, 10, 1, 10))
    mm = fret_distance(10) - fret_distance(5)
    assert shift == pytest.approx(WEIGH.shift + WEIGH.travel * mm)
    assert needed == pytest.approx(TIMING.lift + TIMING.bit * log2(2 * mm / gap(10)))
    assert effort == pytest.approx(WEIGH.string + WEIGH.jump)
    assert slur == 0


def test_a_stretch_does_not_shorten_the_way_of_a_finger():
    moves = find_moves(at(1, 5, 1, 6)[0], at(1, 10, 1, 10)[0], BOARD, PLAYER)
    row, column = at(1, 5, 1, 6)[1], at(1, 10, 1, 10)[1]
    assert moves.travel[row, column] == pytest.approx(fret_distance(10) - fret_distance(5))


def test_a_slide_keeps_its_finger_and_needs_no_lift():
    (a, row), (b, column) = at(3, 5, 2, 4), at(3, 9, 2, 8)
    moves = find_moves(a, b, BOARD, PLAYER)
    found = [i for i in range(len(moves.slurs.kind))
             if (moves.slurs.start[i], moves.slurs.goal[i]) == (row, column)]
    assert [int(moves.slurs.kind[i]) for i in found] == [SLIDE]
    mm = fret_distance(8) - fret_distance(4)
    assert moves.slurs.needed[found[0]] == pytest.approx(TIMING.bit * log2(2 * mm / gap(8)))


def test_one_finger_rolls_or_jumps():
    assert move(at(3, 5, 1, 5), at(2, 5, 1, 5))[2] == TIMING.roll
    assert move(at(3, 5, 1, 5), at(1, 4, 1, 5))[2] == TIMING.jump
    assert move(at(3, 5, 1, 5), at(1, 4, 1, 5))[0] > move(at(3, 5, 1, 5), at(2, 5, 1, 5))[0]


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
