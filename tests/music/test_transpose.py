import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solowright.errors import InputError
from solowright.music.transpose import transpose
from tests.files.any_tunes import tunes


@settings(max_examples=30, deadline=None)
@given(tunes(), st.integers(-12, 12))
def test_everything_moves_by_as_much(tune, semitones):
    moved = transpose(tune, semitones)
    assert [n.pitch.midi - semitones for n in moved.line.notes] == [n.pitch.midi for n in tune.line.notes]
    assert [n.onset for n in moved.line.notes] == [n.onset for n in tune.line.notes]
    assert abs(moved.key.fifths) <= max(7, abs(tune.key.fifths))
    pairs = zip(tune.chart.spans, moved.chart.spans, strict=True)
    for (start, _, chord), (there, _, other) in pairs:
        assert start == there and (chord is None) == (other is None)
        if chord and other:
            assert (other.root.pitch_class - chord.root.pitch_class - semitones) % 12 == 0
            assert other.degrees == chord.degrees


def test_an_octave_is_the_most():
    with pytest.raises(InputError, match="can't transpose by 13"):
        transpose(None, 13)
