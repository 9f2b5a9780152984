from dataclasses import replace
from fractions import Fraction

import pytest

from solowright.errors import InputError
from solowright.neck import Player, finger
from solowright.neck.profile import parse_player, read_player
from tests.neck.lines import run, spots


def test_an_empty_file_changes_nothing():
    assert parse_player("") == Player()


def test_what_a_file_names_replaces_the_usual(tmp_path):
    file = tmp_path / "player.toml"
    file.write_text("frets = 24\nreach = 140\n[timing]\njump = 0.1\n[effort]\nthick = 0.5\n")
    player = read_player(file)
    assert (player.frets, player.reach, player.timing.jump, player.effort.thick) == (24, 140, 0.1, 0.5)
    assert player.pick_rate == Player().pick_rate and player.timing.lift == Player().timing.lift
    assert parse_player("frets = 21", player=player).reach == 140


def test_the_instrument_and_the_hand_that_holds_it():
    player = parse_player('tuning = "drop d"\ncapo = 2\nleft_handed = true\ntaps = true')
    assert (player.tuning, player.capo) == ((64, 59, 55, 50, 45, 38), 2)
    assert player.left_handed and player.taps and not (Player().left_handed or Player().taps)
    assert parse_player('tuning = "B1 E2 A2 D3 G3 B3 E4"').tuning == (64, 59, 55, 50, 45, 40, 35)


def test_a_weak_finger_is_spared():
    line = run("A2 C3 D3 E3 G3 A3 C4 D4")
    usual, weak = finger(line), finger(line, parse_player("weak_fingers = [4]"))
    fours = [sum(used == 4 for *_, used in spots(found.paths[0])) for found in (usual, weak)]
    assert fours[1] < fours[0] or fours == [0, 0]
    assert parse_player("weak_fingers = [4]").effort.fingers[3] > Player().effort.fingers[3]


def test_taste_for_positions_and_open_strings_shows():
    line = run("E4 F4 G4 A4 B4 C5")
    high = finger(line, parse_player("positions = [12]")).paths[0]
    assert min(note.position for note in high.notes) > 7
    opened = finger(run("A3 B3 E4 B3 G3"), parse_player('open_strings = "like"')).paths[0]
    closed = finger(run("A3 B3 E4 B3 G3"), parse_player('open_strings = "avoid"')).paths[0]
    assert sum(n.fret == 0 for n in opened.notes) > sum(n.fret == 0 for n in closed.notes) == 0


def test_taste_for_legato_shows():
    line = run("A4 B4 C5 B4 A4 B4 C5 B4", Fraction(1, 4), bpm=140)
    much, little = (finger(line, parse_player(f'legato = "{word}"')).paths[0] for word in ("much", "little"))
    slurs = [sum(note.entry != "pick" for note in path.notes) for path in (much, little)]
    assert slurs[0] > slurs[1]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("frets = 3", "p.toml: frets = 3 is no number from 12 to 36; correct it"),
        ("frets = true", "p.toml: frets = True is no number from 12 to 36; correct it"),
        ("hands = 3", "p.toml: hands is unknown; known are scale, "),
        ("[timing]\nleap = 1", "p.toml: timing.leap is unknown; known are lift, "),
        ("[effort]\nfingers = 1", "p.toml: effort.fingers is unknown; known are shift, "),
        ("timing = 3", "p.toml: timing is no table; write [timing]"),
        ("weak_fingers = [5]", "p.toml: weak_fingers = [5] is no list of numbers from 1 to 4; correct it"),
        ('legato = "lots"', "p.toml: legato = 'lots' is unknown; known are little, some, much"),
        ("frets =", "p.toml: no TOML: "),
        ("left_handed = 1", "p.toml: left_handed = 1 is neither true nor false; correct it"),
        ("tuning = 3", 'p.toml: tuning = 3 is no text; write "drop d" or '),
        ('tuning = "dropd"', "p.toml: tuning: 'dropd' is not a tuning (did you mean 'drop d'?); name the "),
        ("capo = 13", "p.toml: capo = 13 is no number from 0 to 12; correct it"),
    ],
)
def test_mistakes_are_named(text, said):
    with pytest.raises(InputError) as refused:
        parse_player(text, "p.toml")
    assert str(refused.value).startswith(said)


def test_a_missing_file_is_named(tmp_path):
    with pytest.raises(InputError, match=r"none\.toml: No such file"):
        read_player(tmp_path / "none.toml")


def test_a_profile_is_a_player_and_can_be_changed_again():
    assert replace(parse_player("frets = 24"), frets=21).frets == 21
