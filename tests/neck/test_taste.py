"""What a sheet says of the hand counts over the player, for its tune, wherever the line is fingered."""

from dataclasses import replace
from fractions import Fraction
from math import isclose

import pytest

from solowright.errors import InputError
from solowright.music.hand import Hand
from solowright.neck import (
    Bounds,
    Effort,
    Player,
    easier,
    find_top_tempo,
    finger,
    parse_player,
    player_for,
    solve,
    solve_after,
    tell_fingering,
    transpose_keeping_shapes,
)
from tests.neck.lines import lock, run

LINE = run("E4 F4 G4 A4 B4 C5")
SLURRED = run("A4 B4 C5 B4 A4 B4 C5 B4", Fraction(1, 4), bpm=140)


def asked(tune, **said):
    return replace(tune, hand=Hand(**said))


def test_nothing_said_leaves_the_player():
    player = parse_player("reach = 120")
    assert player_for(LINE, player) is player
    assert player_for(LINE) == Player()


def test_what_a_sheet_says_replaces_what_the_players_file_says():
    text = 'reach = 120\nfrets = 24\nlegato = "little"\nweak_fingers = [4]\n[effort]\nhammer = 1.5'
    player = parse_player(text)
    found = player_for(asked(LINE, reach=110.0, legato="much", weak_fingers=()), player)
    assert (found.reach, found.frets) == (110, 24)
    assert isclose(found.effort.hammer, 1.5 * 0.35)  # the slurs of the player's own file, not halved again
    assert found.effort.fingers == Effort().fingers
    assert player_for(asked(LINE, reach=110.0), found).effort.hammer == found.effort.hammer


def test_saying_the_same_twice_is_saying_it_once():
    tune = asked(LINE, legato="much", open_strings="avoid", positions=(12,), weak_fingers=(4,), taps=True)
    once = player_for(tune)
    assert player_for(tune, once) == once


@pytest.mark.parametrize(
    ("tune", "said", "text"),
    [
        (LINE, {"positions": (12,)}, "positions = [12]"),
        (SLURRED, {"legato": "much"}, 'legato = "much"'),
        (SLURRED, {"legato": "little", "pick_rate": 7.0}, 'legato = "little"\npick_rate = 7'),
        (run("A3 B3 E4 B3 G3"), {"open_strings": "like"}, 'open_strings = "like"'),
    ],
)
def test_a_sheet_is_fingered_as_by_a_player_whose_file_says_so(tune, said, text):
    player, sheet = parse_player(text), asked(tune, **said)
    assert finger(sheet).paths == finger(tune, player).paths != finger(tune).paths
    assert solve(sheet).fingering.paths == finger(tune, player).paths
    assert find_top_tempo(sheet) == find_top_tempo(tune, player)


def test_a_changed_header_is_an_edit_like_any_other():
    solved = solve(LINE)
    there = solve_after(solved, asked(LINE, positions=(12,)))
    assert there.fingering == finger(asked(LINE, positions=(12,)))
    assert solve_after(there, LINE).fingering == solved.fingering


def test_a_short_neck_and_taps_are_the_sheets_too():
    high = run("C6 D6")
    with pytest.raises(InputError, match="above the last fret"):
        finger(asked(high, frets=19))
    with pytest.raises(InputError, match="leaves no neck; give 0 to 6"):
        transpose_keeping_shapes(asked(run("A3"), frets=12), 0, capo=9)
    tune = run("A4 C5 A4 F5 C5 A4", Fraction(1, 4), 200)
    for index in range(6):
        tune = lock(tune, index, string=1)
    bounds = Bounds(most=2, kinds=frozenset({"tap"}))
    assert easier(asked(tune, taps=True), bounds=bounds).changes
    assert not easier(asked(tune, taps=False), Player(taps=True), bounds=bounds).changes


def test_it_is_told():
    tune = asked(LINE, reach=120.0, positions=(5, 12), weak_fingers=(), taps=False)
    assert tell_fingering(tune, finger(tune))[0] == (
        "The sheet counts over the player: reach 120 mm, positions 5, 12, no weak fingers, no taps."
    )
    assert not tell_fingering(LINE, finger(LINE))
