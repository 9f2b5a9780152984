"""Chord shapes under the line: right tones, near the hand, holdable."""

from __future__ import annotations

from solowright.demo import bundled_tune
from solowright.lesson.shapes import find_shapes
from solowright.music.voicing import held_tones
from solowright.neck import Fretboard, finger


def test_every_shape_says_its_chord_near_the_hand() -> None:
    tune = bundled_tune()
    path = finger(tune).paths[0]
    board = Fretboard(tune.tuning)
    shapes = find_shapes(tune, path, tune.chart.starts[0], tune.chart.length)
    symbols = [chord.symbol for _, _, chord in tune.chart.spans if chord]
    assert [shape.chord.symbol for shape in shapes] == list(dict.fromkeys(symbols))
    positions = {placed.position for placed in path.notes}
    for shape in shapes:
        sounding = {(board.open[string - 1] + fret) % 12 for string, fret, _ in shape.places}
        assert sounding == set(held_tones(shape.chord))
        frets = [fret for _, fret, _ in shape.places]
        assert max(frets) - min(frets) <= 4
        assert min(abs(min(frets) - position) for position in positions) <= 3
        strings = [string for string, _, _ in shape.places]
        assert strings == list(range(strings[0], strings[0] + len(strings)))


def test_one_finger_never_holds_two_frets() -> None:
    tune = bundled_tune()
    for shape in find_shapes(tune, finger(tune).paths[0], tune.chart.starts[8], tune.chart.starts[16]):
        held: dict[int, int] = {}
        for _, fret, used in shape.places:
            assert held.setdefault(used, fret) == fret
