"""Fret positions and handbook fingerings."""

import pytest

from solowright.neck import finger, fret_distance, gap
from tests.neck.lines import lock, run, spots

# Rule L(1 − 2^(−n/12)) for 25.5 inches (647.70 mm), as luthiers' tables print it.
POSITIONS = {1: 36.35, 5: 162.47, 7: 215.41, 12: 323.85, 19: 431.56, 24: 485.77}

# Open chords as every beginner's handbook prints them: common practice, no single source.
# High string first: (fret, finger), None where the string is silent.
OPEN_CHORDS = {
    "C": "C3+E3+G3+C4+E4: 0 1/1 0 2/2 3/3",
    "A": "A2+E3+A3+C#4+E4: 0 2/3 2/2 2/1 0",
    "G": "G2+B2+D3+G3+B3+G4: 3/3 0 0 0 2/1 3/2",
    "E": "E2+B2+E3+G#3+B3+E4: 0 0 1/1 2/3 2/2 0",
    "D": "D3+A3+D4+F#4: 2/2 3/3 2/1 0",
    "Am": "A2+E3+A3+C4+E4: 0 1/1 2/3 2/2 0",
    "Em": "E2+B2+E3+G3+B3+E4: 0 0 0 2/3 2/2 0",
    "Dm": "D3+A3+D4+F4: 1/1 3/3 2/2 0",
    "G7": "G2+B2+D3+G3+B3+F4: 1/1 0 0 0 2/2 3/3",
    "B7": "B2+D#3+A3+B3+F#4: 2/4 0 2/3 1/1 2/2",
    "A7": "A2+E3+G3+C#4+E4: 0 2/3 0 2/2 0",
    "Am7": "A2+E3+G3+C4+E4: 0 1/1 0 2/2 0",
    "D7": "D3+A3+C4+F#4: 2/3 1/1 2/2 0",
    "Fmaj7": "F3+A3+C4+E4: 0 1/1 2/2 3/3",
    "F, barre": "F2+C3+F3+A3+C4+F4: 1/1 1/1 2/2 3/4 3/3 1/1",
    "Bm, barre": "B2+F#3+B3+D4+F#4: 2/1 3/2 4/4 4/3 2/1",
    "C, barre": "C3+G3+C4+E4+G4: 3/1 5/4 5/3 5/2 3/1",
    "C, ring finger barre": "C3+G3+C4+E4: 5/3 5/3 5/3 3/1",
    "C9": "C3+E3+Bb3+D4+G4: 3/3 3/3 3/3 2/1 3/2",
    "Am7, barre": "G3+C4+E4+A4: 5/1 5/1 5/1 5/1",
}

# One octave, as position studies print it (common practice, no single source): the lock on the first
# note says which position is meant, and in the second position locks keep it closed, since open D and G
# would do as well there. Note, locked fingers by index, string and fret of each note, fingers.
MAJOR_SCALES = {
    "C, open position": ("C3 D3 E3 F3 G3 A3 B3 C4", {0: 3}, "53 40 42 43 30 32 20 21", "30230201"),
    "G, open position": ("G2 A2 B2 C3 D3 E3 F#3 G3", {0: 3}, "63 50 52 53 40 42 44 30", "30230240"),
    "F, first position": ("F3 G3 A3 Bb3 C4 D4 E4 F4", {}, "43 30 32 33 21 23 10 11", "30231301"),
    "C, second position": ("C3 D3 E3 F3 G3 A3 B3 C4", {0: 2, 1: 4, 4: 4},
                           "53 55 42 43 45 32 34 35", "24124134"),
    "D, fourth position": ("D3 E3 F#3 G3 A3 B3 C#4 D4", {0: 2}, "55 57 44 45 47 34 36 37", "24124134"),
    "A, fourth position": ("A2 B2 C#3 D3 E3 F#3 G#3 A3", {0: 2}, "65 67 54 55 57 44 46 47", "24124134"),
    "Bb, fifth position": ("Bb2 C3 D3 Eb3 F3 G3 A3 Bb3", {0: 2}, "66 68 55 56 58 45 47 48", "24124134"),
}


@pytest.mark.parametrize(("fret", "millimetres"), POSITIONS.items())
def test_frets_lie_where_the_tables_put_them(fret, millimetres):
    assert fret_distance(fret) == pytest.approx(millimetres, abs=0.006)


def test_gaps_between_frets():
    assert gap(1) == pytest.approx(36.35, abs=0.006)
    assert gap(12) == pytest.approx(19.26, abs=0.09)  # printed for the space that begins at fret 12
    assert fret_distance(5) - fret_distance(1) == pytest.approx(126.1, abs=0.05)
    assert fret_distance(16) - fret_distance(12) == pytest.approx(66.8, abs=0.05)


@pytest.mark.parametrize("name", OPEN_CHORDS)
def test_chords_are_held_as_handbooks_print_them(name):
    pitches, _, grip = OPEN_CHORDS[name].partition(": ")
    path = finger(run(pitches)).paths[0]
    printed = [tuple(map(int, each.split("/"))) if "/" in each else (0, 0) for each in grip.split()]
    assert [(fret, used) for _, fret, used in spots(path)] == printed


@pytest.mark.parametrize("name", MAJOR_SCALES)
def test_scales_are_fingered_as_position_studies_print_them(name):
    line, given, places, fingers = MAJOR_SCALES[name]
    tune = run(line)
    for index, used in given.items():
        tune = lock(tune, index, string=int(places.split()[index][0]), finger=used)
    path = finger(tune).paths[0]
    assert [f"{string}{fret}" for string, fret, _ in spots(path)] == places.split()
    assert "".join(str(used) for *_, used in spots(path)) == fingers


@pytest.mark.parametrize("backwards", [False, True])
def test_the_minor_pentatonic_box_is_one_position(backwards):
    """A minor at fret 5: fingers 1-4, 1-3, 1-3, 1-3, 1-4, 1-4 (common practice, no source)."""
    line = ["A2", "C3", "D3", "E3", "G3", "A3", "C4", "D4", "E4", "G4", "A4", "C5"]
    box = [(6, 5, 1), (6, 8, 4), (5, 5, 1), (5, 7, 3), (4, 5, 1), (4, 7, 3), (3, 5, 1), (3, 7, 3),
           (2, 5, 1), (2, 8, 4), (1, 5, 1), (1, 8, 4)]
    order = slice(None, None, -1) if backwards else slice(None)
    assert spots(finger(run(" ".join(line[order]))).paths[0]) == box[order]


def test_a_chromatic_run_on_one_string_is_one_two_three_four():
    tune = lock(run("A4 A#4 B4 C5 C#5 D5 D#5 E5"), 0, string=1, finger=1)
    path = finger(tune).paths[0]
    assert spots(path) == [(1, 5 + step, 1 + step % 4) for step in range(8)]


def test_a_major_arpeggio_over_two_octaves():
    """C major from the sixth string with the middle finger: one position (common practice, no source)."""
    path = finger(lock(run("C3 E3 G3 C4 E4 G4 C5"), 0, string=6, finger=2)).paths[0]
    assert spots(path)[:3] == [(6, 8, 2), (5, 7, 1), (5, 10, 4)]
    assert all(7 <= fret <= 10 for _, fret, _ in spots(path))
