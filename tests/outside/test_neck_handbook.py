"""What every guitar handbook prints: common practice, no single source; written down from memory.

Patterns are movable, so the player of these checks leaves open strings alone, and the first note says
which pattern is meant, as the diagram in a book does.
"""

from __future__ import annotations

import pytest

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
