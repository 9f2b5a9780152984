from fractions import Fraction
from itertools import pairwise

import pytest

from solowright.music.line import make_line
from solowright.neck import apply_path, finger, fingering_json
from solowright.neck.shapes import Sequence, find_sequences
from tests.neck.lines import lock, run_midi, spots

SIXTEENTH = Fraction(1, 4)
CELL = (62, 65, 64, 67)


def moved(interval, times, cell=CELL):
    return [midi + interval * time for time in range(times) for midi in cell]


@pytest.mark.parametrize("interval", [3, -2, 1])
def test_repeated_cells_are_found_wherever_they_stand(interval):
    tune = run_midi([57, 74, *moved(interval, 3), 50])
    assert find_sequences(tune) == (Sequence(2, 4, 3, interval),)


def test_a_repeat_in_place_is_no_sequence():
    assert find_sequences(run_midi(list(CELL) * 3)) == ()


def test_another_rhythm_is_no_sequence():
    notes = list(run_midi(moved(3, 2)).line.notes)
    late = [*notes[:4]] + [
        note.__class__(note.pitch, note.onset * 2, note.duration) for note in notes[4:]
    ]
    tune = run_midi(moved(3, 2))
    assert find_sequences(tune) and not find_sequences(
        tune.__class__("", tune.chart, make_line([*late[:5], *late[6:]]))
    )


@pytest.mark.parametrize(("interval", "times"), [(3, 3), (-1, 4), (2, 3)])
def test_one_shape_moves_along_the_neck_and_the_result_says_so(interval, times):
    tune = run_midi(moved(interval, times), SIXTEENTH, 120)
    fingering = finger(tune)
    (shape,) = fingering.shapes
    cells = [spots(fingering.paths[0])[4 * time : 4 * time + 4] for time in range(times)]
    for one, other in pairwise(cells):
        assert other == [(string, fret + interval, used) for string, fret, used in one]
    way = "up" if interval > 0 else "down"
    often = "twice" if times == 2 else f"{times} times"
    assert f"one shape, played {often}, each time {abs(interval)} fret" in shape.sentence
    assert way in shape.sentence and shape.times == times
    assert not any(placed.locked for placed in fingering.paths[0].notes)
    (told,) = fingering_json(tune, fingering)["shapes"]
    assert told["from"] == {"bar": 1, "beat": 1.0} and told["interval"] == interval
    assert told["strings"] == [string for string, _, _ in cells[0]]


def test_what_the_player_fixed_comes_before_a_shape():
    tune = lock(run_midi(moved(3, 3), SIXTEENTH, 120), 5, string=4)
    assert finger(tune).paths[0].notes[5].string == 4
    again = finger(tune, refinger=True)
    free = finger(run_midi(moved(3, 3), SIXTEENTH, 120))
    assert again.shapes and spots(again.paths[0]) == spots(free.paths[0])


def test_other_offers_stay_sorted_behind_a_shape():
    fingering = finger(run_midi(moved(3, 3), SIXTEENTH, 120), best=4)
    costs = [path.cost for path in fingering.paths]
    assert fingering.shapes and costs == sorted(costs)
    written = finger(apply_path(run_midi(moved(3, 3), SIXTEENTH, 120), fingering.paths[0]))
    assert spots(written.paths[0]) == spots(fingering.paths[0])


@pytest.mark.parametrize("steps", [(2, 2, 1), (2, 1, 2), (-1, -2, -2)])
def test_a_scale_run_is_no_sequence(steps):
    """D E F#, G A B, C D E goes up by fourths, but nobody plays a scale by jumping five frets."""
    line = [62 if steps[0] < 0 else 50]
    for index in range(9):
        line.append(line[-1] + steps[index % 3])
    tune = run_midi(line, SIXTEENTH, 100)
    assert find_sequences(tune) == () and finger(tune).shapes == ()


def test_a_fourth_away_lies_on_the_next_string():
    assert find_sequences(run_midi(moved(5, 3))) == ()
    assert find_sequences(run_midi(moved(4, 2))) == (Sequence(0, 4, 2, 4),)
