"""Written values against bars worked out by hand, and what must hold for any rhythm."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from solowright.errors import InputError
from solowright.music.chart import Bar, Chart, Section
from solowright.music.line import Note, make_line
from solowright.music.notation import Symbol, notate
from solowright.music.pitch import parse_pitch
from solowright.music.time import Meter
from solowright.music.tune import Tune

F = Fraction


def tune_of(
    durations: list[Fraction | int], meter: Meter | None = None, pickup: Fraction | None = None
) -> Tune:
    """A one-pitch line; negative durations are rests."""
    meter = meter or Meter()
    at, notes = F(0), []
    for duration in map(F, durations):
        if duration > 0:
            notes.append(Note(parse_pitch("C4"), at, duration))
        at += abs(duration)
    bars = [Bar(meter, short=pickup)] if pickup else []
    total = sum((bar.length for bar in bars), F(0))
    while total < at:
        bars.append(Bar(meter))
        total += meter.length
    return Tune("t", Chart((Section("A", tuple(bars)),), pickup=pickup is not None), make_line(notes))


def text(symbol: Symbol) -> str:
    mark = "n" if symbol.notes else "r"
    tuplet = f"/{symbol.tuplet[0]}" if symbol.tuplet else ""
    return f"{mark}{symbol.value}{'.' * symbol.dots}{tuplet}{'~' if symbol.tie_to else ''}"


def bars_of(tune: Tune) -> list[str]:
    return [" ".join(text(symbol) for symbol in bar) for bar in notate(tune)]


@pytest.mark.parametrize(
    ("durations", "meter", "expected"),
    [
        ([F(1, 2)] * 8, None, ["n8 n8 n8 n8 n8 n8 n8 n8"]),
        ([F(1, 3)] * 3 + [1, 2], None, ["n8/3 n8/3 n8/3 n4 n2"]),
        ([F(2, 3)] * 3 + [2], None, ["n4/3 n4/3 n4/3 n2"]),
        ([3, 5], None, ["n2. n4~", "n1"]),
        ([F(1, 2), 1, 1, 1, F(1, 2)], None, ["n8 n4 n8~ n8 n4 n8"]),
        ([1, 2, 1], None, ["n4 n2 n4"]),
        ([F(3, 2), F(5, 2)], None, ["n4. n8~ n2"]),
        ([F(-1, 2), F(1, 2), -3], None, ["r8 n8 r4 r2"]),
        ([F(1, 4), F(1, 2), F(1, 4), F(1, 4), F(3, 4), 2], None, ["n16 n8 n16 n16 n8. n2"]),
        ([F(2, 3), F(1, 3), 1, 2], None, ["n4/3 n8/3 n4 n2"]),
        ([F(4, 3), F(1, 3), F(1, 3), 2], None, ["n4~ n8/3 n8/3 n8/3 n2"]),
        ([F(1, 6), F(1, 6), F(1, 6), F(1, 2), 3], None, ["n16/3 n16/3 n16/3 n8 n2."]),
        ([F(1, 2)] * 6, Meter(6, 8), ["n8 n8 n8 n8 n8 n8"]),
        ([F(3, 2), 1, F(1, 2)], Meter(6, 8), ["n4. n4 n8"]),
        ([3], Meter(3, 4), ["n2."]),
        ([1, 2], Meter(3, 4), ["n4 n2"]),
        ([F(1, 5)] * 5 + [3], None, ["n16/5 n16/5 n16/5 n16/5 n16/5 n2."]),
        ([-4, 4], None, ["r1", "n1"]),
    ],
)
def test_values_as_a_copyist_writes_them(
    durations: list[Fraction | int], meter: Meter | None, expected: list[str]
) -> None:
    got = bars_of(tune_of(durations, meter))
    assert got == expected


def test_a_pickup_bar_is_read_from_its_right_end() -> None:
    assert bars_of(tune_of([F(1, 2), F(1, 2), 4], pickup=F(1))) == ["n8 n8", "n1"]


def test_beams_join_four_eighths_of_a_half_bar_but_not_across_it() -> None:
    (bar,) = notate(tune_of([F(1, 2)] * 8))
    assert [symbol.beam for symbol in bar] == [1, 1, 1, 1, 2, 2, 2, 2]
    (bar,) = notate(tune_of([F(1, 2), F(1, 2), F(1, 4), F(1, 4), F(1, 2), 2]))
    assert [symbol.beam for symbol in bar] == [1, 1, 2, 2, 2, None]


@pytest.mark.parametrize(
    ("beats", "expected"), [(3, [1, 1, 1]), (5, [1, 1, 1, 2, 2]), (7, [1, 1, 2, 2, 3, 3, 3])]
)
def test_beams_in_meters_of_eighths(beats: int, expected: list[int]) -> None:
    (bar,) = notate(tune_of([F(1, 2)] * beats, Meter(beats, 8)))
    assert [symbol.beam for symbol in bar] == expected


def test_a_note_ringing_into_the_next_is_written_up_to_it() -> None:
    ringing = make_line([Note(parse_pitch("C4"), F(0), F(3)), Note(parse_pitch("E4"), F(1), F(3))])
    tune = Tune("t", tune_of([4]).chart, ringing)
    assert bars_of(tune) == ["n4 n2."]


def test_too_fine_a_rhythm_is_refused_with_its_bar() -> None:
    with pytest.raises(InputError, match="bar 1 beat 1"):
        notate(tune_of([F(1, 11), F(10, 11), 3]))


RHYTHM = st.lists(
    st.sampled_from([F(1, 4), F(1, 2), F(3, 4), F(1), F(3, 2), F(2), F(3), F(-1, 2), F(-1), F(-1, 4)]),
    min_size=1,
    max_size=16,
)
BEATS = st.sampled_from([[F(1, 3)] * 3, [F(2, 3), F(1, 3)], [F(1, 2)] * 2, [F(-1)], [F(1)]])
TRIPLETS = st.lists(BEATS, min_size=1).map(lambda beats: [length for beat in beats for length in beat])


@given(st.one_of(RHYTHM, TRIPLETS), st.sampled_from([4, 3, 5]))
def test_symbols_fill_every_bar_and_sum_to_the_notes(durations: list[Fraction], beats: int) -> None:
    tune = tune_of(list(durations), Meter(beats, 4))
    sounding = F(0)
    for bar, symbols in zip(tune.chart.bars, notate(tune), strict=True):
        assert sum(symbol.duration for symbol in symbols) == bar.length
        for symbol in symbols:
            if not symbol.whole_bar:
                written = F(4, symbol.value) * (F(3, 2) if symbol.dots else 1)
                actual, normal = symbol.tuplet or (1, 1)
                assert written * normal / actual == symbol.duration
            sounding += symbol.duration if symbol.notes else 0
        starts = sum(symbol.tuplet_start for symbol in symbols)
        assert starts == sum(symbol.tuplet_stop for symbol in symbols)
    assert sounding == sum(note.duration for note in tune.line.notes)


def test_a_line_without_notes_is_bars_of_rest() -> None:
    bars = notate(Tune("t", Chart((Section("A", (Bar(), Bar(Meter(6, 8)))),))))
    assert [(len(bar), bar[0].whole_bar, bar[0].duration) for bar in bars] == [(1, True, 4), (1, True, 3)]
