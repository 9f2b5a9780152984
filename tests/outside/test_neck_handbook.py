"""What every guitar handbook prints: common practice, no single source; written down from memory.

Patterns are movable, so the player of these checks leaves open strings alone, and the first note says
which pattern is meant, as the diagram in a book does.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from solowright.music.tune import STANDARD_TUNING
from solowright.neck import finger, parse_player
from tests.neck.lines import lock, run, run_midi, spots

CLOSED = parse_player('open_strings = "avoid"')
MAJOR = (0, 2, 4, 5, 7, 9, 11)
G2 = 43


def fingered(tune):
    return spots(finger(tune, CLOSED).paths[0])


# The five positions of the G major scale: (first note, its finger, frets from the sixth string to the
# first), and the fingers printed with them.
POSITIONS = {
    "second": ("G2", 2, "3 5|2 3 5|2 4 5|2 4 5|3 5|2 3 5", "24|124|134|134|24|124"),
    "fifth": ("A2", 1, "5 7 8|5 7|4 5 7|4 5 7|5 7 8|5 7 8", "134|13|124|124|134|134"),
    "seventh": ("B2", 1, "7 8 10|7 9 10|7 9 10|7 9|7 8 10|7 8 10", "124|134|134|13|124|124"),
    "tenth": ("D3", 2, "10 12|9 10 12|9 10 12|9 11 12|10 12 13|10 12", "24|124|124|134|134|13"),
    "twelfth": ("E3", 1, "12 14 15|12 14 15|12 14|11 12 14|12 13 15|12 14 15", "134|134|13|124|124|134"),
}


def scale(first: int, count: int) -> list[int]:
    """Notes of G major from a pitch on."""
    return [midi for midi in range(first, first + 48) if (midi - G2) % 12 in MAJOR][:count]


def written(name: str):
    """The places of a position and its line, locked at its first note."""
    first, used, frets, fingers = POSITIONS[name]
    places = [(6 - row, int(fret)) for row, part in enumerate(frets.split("|")) for fret in part.split()]
    midi = run(first).line.notes[0].pitch.midi
    tune = lock(run_midi(scale(midi, len(places))), 0, string=6, finger=used)
    return tune, places, [int(digit) for digit in fingers.replace("|", "")]


@pytest.mark.parametrize("name", POSITIONS)
def test_the_five_positions_of_the_major_scale(name):
    tune, places, _ = written(name)
    assert [(string, fret) for string, fret, _ in fingered(tune)] == places


def test_the_fingers_of_the_five_positions():
    """Where a string needs a stretch, books differ on who stretches: nine fingers in ten have to agree."""
    agreed = total = 0
    for name in POSITIONS:
        tune, _, fingers = written(name)
        pairs = zip(fingered(tune), fingers, strict=True)
        agreed += sum(used == printed for (*_, used), printed in pairs)
        total += len(fingers)
    assert agreed / total >= 0.9


# Two octaves of an arpeggio from the sixth string: first finger, places, fingers; where books differ,
# ``|`` gives both places and ``.`` leaves the finger open.
ARPEGGIOS = {
    "Gmaj7": ("G2 B2 D3 F#3 G3 B3 D4 F#4 G4", 2, "6/3 5/2 5/5 4/4 4/5 3/4 2/3 1/2 1/3", "214343212"),
    "Am7": ("A2 C3 E3 G3 A3 C4 E4 G4 A4", 1, "6/5 6/8 5/7 4/5 4/7 3/5 2/5 2/8 1/5", "143131141"),
    "A7": ("A2 C#3 E3 G3 A3 C#4 E4 G4 A4", 2, "6/5 5/4 5/7 4/5 4/7 3/6 2/5 2/8|1/3 1/5", "21......."),
    "Am7b5": ("A2 C3 Eb3 G3 A3 C4 Eb4 G4 A4", 1, "6/5 6/8 5/6 4/5 4/7 3/5 3/8 2/8 1/5", "142131441"),
}


@pytest.mark.parametrize("name", ARPEGGIOS)
def test_two_octave_arpeggios(name):
    line, used, places, fingers = ARPEGGIOS[name]
    found = fingered(lock(run(line), 0, string=6, finger=used))
    for (string, fret, used), place, printed in zip(found, places.split(), fingers, strict=True):
        assert f"{string}/{fret}" in place.split("|")
        assert printed in (".", str(used))


# Shell voicings: root, seventh and third on strings 6 4 3 and 5 3 2, root, third and seventh on 5 4 3;
# frets from the low string up. No locks: the grip has to come out by itself.
SHELLS = {
    "Gmaj7": ("G2+F#3+B3", "6/3 4/4 3/4"),
    "G7": ("G2+F3+B3", "6/3 4/3 3/4"),
    "Gm7": ("G2+F3+Bb3", "6/3 4/3 3/3"),
    "G6": ("G2+E3+B3", "6/3 4/2 3/4"),
    "A7": ("A2+G3+C#4", "6/5 4/5 3/6"),
    "Am7": ("A2+G3+C4", "6/5 4/5 3/5"),
    "Cmaj7": ("C3+E3+B3", "5/3 4/2 3/4"),
    "C7": ("C3+E3+Bb3", "5/3 4/2 3/3"),
    "Cm7": ("C3+Eb3+Bb3", "5/3 4/1 3/3"),
    "D7": ("D3+F#3+C4", "5/5 4/4 3/5"),
    "Dm7": ("D3+F3+C4", "5/5 4/3 3/5"),
    "Ebmaj7": ("Eb3+G3+D4", "5/6 4/5 3/7"),
    "C7, root 7 3": ("C3+Bb3+E4", "5/3 3/3 2/5"),
    "Dm7, root 7 3": ("D3+C4+F4", "5/5 3/5 2/6"),
}


@pytest.mark.parametrize("name", SHELLS)
def test_shell_voicings(name):
    chord, places = SHELLS[name]
    assert [f"{string}/{fret}" for string, fret, _ in reversed(fingered(run(chord)))] == places.split()


@pytest.mark.parametrize(("chord", "fingers"), [("C7", "213"), ("D7", "213"), ("Cm7", "314"), ("Dm7", "314")])
def test_shells_are_held_as_printed(chord, fingers):
    held = reversed(fingered(run(SHELLS[chord][0])))
    assert "".join(str(used) for *_, used in held) == fingers


# Power chords and double stops, from the low string up: common practice, no source; written down from
# memory. Root, fifth and octave are 1 3 3 (or 1 3 4); what lies on one fret lies under one finger.
DROP_D = (*STANDARD_TUNING[:-1], 38)
ONE_FINGER = {
    "drop D, fret 2": ("E2+B2+E3", DROP_D, "6/2 5/2 4/2", ("111",)),
    "drop D, fret 5": ("G2+D3+G3", DROP_D, "6/5 5/5 4/5", ("111", "333")),
    "G5": ("G2+D3+G3", STANDARD_TUNING, "6/3 5/5 4/5", ("133", "134")),
    "C5": ("C3+G3+C4", STANDARD_TUNING, "5/3 4/5 3/5", ("133", "134")),
    "fourth, strings 2 1": ("E4+A4", STANDARD_TUNING, "2/5 1/5", ("11", "33")),
    "fourth, strings 5 4": ("D3+G3", STANDARD_TUNING, "5/5 4/5", ("11", "33")),
    "fourths, strings 5 4 3": ("D3+G3+C4", STANDARD_TUNING, "5/5 4/5 3/5", ("111", "333")),
}


@pytest.mark.parametrize("name", ONE_FINGER)
def test_one_finger_lies_over_what_stands_on_one_fret(name):
    notes, tuning, places, fingers = ONE_FINGER[name]
    found = fingered(run(notes, tuning=tuning))[::-1]
    assert [f"{string}/{fret}" for string, fret, _ in found] == places.split()
    assert "".join(str(used) for *_, used in found) in fingers


def test_a_riff_in_drop_d_is_played_with_one_finger_at_a_time():
    tune = run("D2+A2+D3 E2+B2+E3 F2+C3+F3 G2+D3+G3 F2+C3+F3 D2+A2+D3", bpm=140, tuning=DROP_D)
    found = fingered(tune)
    assert [fret for _, fret, _ in found] == [fret for fret in (0, 2, 3, 5, 3, 0) for _ in range(3)]
    assert all(len({used for *_, used in found[row : row + 3]}) == 1 for row in range(0, 18, 3))


def test_double_stops_in_the_pentatonic_box_leave_the_hand_where_it_is():
    """A lick of rock and roll: fourths on the top strings under the index at 5 and a finger at 8."""
    found = fingered(run("A3 C4 D4 E4+A4 E4+A4 G4+C5 E4+A4 D4 C4 A3", bpm=120))
    assert {fret for _, fret, _ in found} == {5, 7, 8}
    assert [used for string, fret, used in found if (string, fret) in ((1, 5), (2, 5))] == [1] * 6


def test_a_chord_up_the_neck_has_no_open_string_that_nobody_could_damp():
    """D9 without its fifth is 5 4 5 5 on strings 5 4 3 2, not with the open E; the chord of A7 in open
    position has its open strings."""
    assert all(fret for _, fret, _ in spots(finger(run("D3+F#3+C4+E4")).paths[0]))
    assert [fret for _, fret, _ in spots(finger(run("A2+E3+G3+C#4+E4")).paths[0])] == [0, 2, 0, 2, 0]


def test_pull_offs_to_an_open_string_going_down_the_neck():
    """9 0 on the first string, 10 on the second, 7 0 8, 5 0 7, 3 0 5, triplets at 186: another finger on the
    far side of every open string."""
    line = run("C#5 E4 A4 B4 E4 G4 A4 E4 F#4 G4 E4 E4", Fraction(1, 3), bpm=186)
    for index in range(12):
        line = lock(line, index, string=2 if index % 3 == 2 else 1)
    fingers = [used for *_, used in spots(finger(line).paths[0])]
    assert fingers[1::3] == [0] * 4
    assert all(one != other for one, other in zip(fingers[::3], fingers[2::3], strict=True))


def pattern(degree: int) -> list[int]:
    """Eighteen notes of G major from a degree on."""
    return [G2 + MAJOR[(degree + n) % 7] + 12 * ((degree + n) // 7) for n in range(18)]


def printed_fingers(notes: list[int]) -> tuple[str, ...]:
    """Three on a string: half and whole step 1 2 4, whole and half 1 3 4; for two whole steps books
    differ, 1 2 4 or, where frets are narrow, 1 3 4."""
    steps = notes[1] - notes[0], notes[2] - notes[1]
    return {(1, 2): ("124",), (2, 1): ("134",), (2, 2): ("124", "134")}[steps]


def test_three_notes_on_a_string():
    """All seven patterns, the strings given as in print: one position a string or a shift to the next,
    never two shifts on one string; seven strings in ten with the printed fingers."""
    agreed = 0
    for degree in range(7):
        line = pattern(degree)
        tune = run_midi(line)
        for index in range(18):
            tune = lock(tune, index, string=6 - index // 3)
        found = fingered(tune)
        for start in range(0, 18, 3):
            used = "".join(str(finger) for *_, finger in found[start : start + 3])
            agreed += used in printed_fingers(line[start : start + 3])
            assert used in ("124", "134", "113", "133", "112", "224", "244"), (degree, start, used)
    assert agreed / 42 >= 0.7
