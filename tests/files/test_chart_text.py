"""The chart part: what every way of typing it means, and what is wrong with a wrong one."""

from __future__ import annotations

from fractions import Fraction

import pytest

from solowright.errors import FileError
from solowright.files.sheet import read_chart
from solowright.music.chart import Bar, Chart
from solowright.music.time import Meter


def chart_of(text: str) -> Chart:
    return read_chart(text.encode(), "x.txt")


def bar_of(text: str) -> Bar:
    return chart_of(text).bars[0]


def chords(bar: Bar) -> list[tuple[float, str]]:
    return [(float(at.offset), at.chord.symbol if at.chord else "N.C.") for at in bar.chords]


def problem(text: str) -> str:
    with pytest.raises(FileError) as found:
        chart_of(text)
    return str(found.value)


def test_a_lead_sheet_as_it_is_typed() -> None:
    vamp, bridge = "| A7 | % | D7 | A7 |", "| Fmaj7 | B7 Em7 | C#m7b5 F#7b9 | Bm7 . . E7 |"
    chart = chart_of(f"[Vamp]\n{vamp}\n[Bridge]\n{bridge}\n")
    assert [(section.name, len(section.bars), section.times) for section in chart.sections] == [
        ("Vamp", 4, 1),
        ("Bridge", 4, 1),
    ]
    assert [chords(bar) for bar in chart.bars] == [
        [(0, "A7")],
        [(0, "A7")],
        [(0, "D7")],
        [(0, "A7")],
        [(0, "Fmaj7")],
        [(0, "B7"), (2, "Em7")],
        [(0, "C#m7b5"), (2, "F#7b9")],
        [(0, "Bm7"), (3, "E7")],
    ]
    assert chart.spans[0][:2] == (0, 8)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("| C D E F |", [(0, "C"), (1, "D"), (2, "E"), (3, "F")]),
        ("| C . . . |", [(0, "C")]),
        ("| . . C . |", [(2, "C")]),
        ("| . |", []),
        ("| {break} |", []),
        ("| N.C. |", [(0, "N.C.")]),
        ("| C N.C. |", [(0, "C"), (2, "N.C.")]),
        ("| C G@4.5 |", [(0, "C"), (3.5, "G")]),
        ("| C@2⅓ |", [(float(Fraction(4, 3)), "C")]),
        ("| {3/4} C . G |", [(0, "C"), (2, "G")]),
        ("| {3/4} C G D |", [(0, "C"), (1, "G"), (2, "D")]),
        ("| {6/8} C G |", [(0, "C"), (1.5, "G")]),
        ("| {12/8} C . G . |", [(0, "C"), (3, "G")]),
        ("| {6/8} C . . . G . |", [(0, "C"), (2, "G")]),
        ("| {short 2} C G |", [(0, "C"), (1, "G")]),
        ("| C7(b9) F#m7/B |", [(0, "C7(b9)"), (2, "F#m7/B")]),
    ],
)
def test_where_chords_stand(text: str, expected: list[tuple[float, str]]) -> None:
    assert chords(bar_of(text)) == expected


def test_a_section_is_played_as_often_as_it_says() -> None:
    chart = chart_of("| N.C. |\n[A] x2 | C | D |\n| E |\n[B]x3\n\n# a comment\n| F |\n")
    assert [(section.name, section.times) for section in chart.sections] == [("", 1), ("A", 2), ("B", 3)]
    assert len(chart.bars) == 1 + 6 + 3


def test_double_barlines_are_barlines() -> None:
    assert len(chart_of("|| C | D || E ||\n").bars) == 3


def test_what_the_band_does() -> None:
    bars = chart_of("| A {hit 1 2.5 4} | A {break} | A {answer} | A {answer 3, 3.5} {hit 4.33} |").bars
    assert bars[0].hits == (0, Fraction(3, 2), 3)
    assert bars[1].pause
    assert (bars[2].answered, bars[2].answer) == (True, ())
    assert (bars[3].answered, bars[3].answer) == (True, (2, Fraction(5, 2)))
    assert bars[3].hits == (Fraction(10, 3),)


def test_a_meter_holds_until_the_next() -> None:
    bars = chart_of("meter: 6/8\n| A | {3/4} B | C | {4/4} {short 1.5} D | E |").bars
    assert [(bar.meter, bar.length) for bar in bars] == [
        (Meter(6, 8), 3),
        (Meter(3, 4), 3),
        (Meter(3, 4), 3),
        (Meter(4, 4), Fraction(3, 2)),
        (Meter(4, 4), 4),
    ]


def test_beats_of_a_pickup_count_from_where_it_enters() -> None:
    chart = chart_of("pickup: 1.5\n| A@3.5 D@4 {hit 4.5} | E |")
    assert chart.pickup
    assert chart.bars[0].length == Fraction(3, 2)
    assert chords(chart.bars[0]) == [(0, "A"), (0.5, "D")]
    assert chart.bars[0].hits == (1,)


@pytest.mark.parametrize(
    ("text", "place", "words"),
    [
        ("| Ahm7 |", "1:3", "did you mean 'Am7'?"),
        ("| A B C D E |", "1:3", "too many beats: 5 chords in a bar of 4"),
        ("| A . . . . |", "1:3", "too many beats: 5 entries in a bar of 4"),
        ("| A . . |", "1:3", "too few beats: 3 entries in a bar of 4"),
        ("| A B C |", "1:3", "3 chords don't share a bar of 4 beats evenly"),
        ("| {3/4} A B |", "1:9", "2 chords don't share a bar of 3 beats evenly"),
        ("| A | |", "1:6", "this bar is empty"),
        ("| A | B", "1:8", "not closed"),
        ("|", "1:1", "no bar follows"),
        ("| % |", "1:3", "no bar before it"),
        ("| A | % B |", "1:9", "stands alone"),
        ("| A B | {short 1} % |", "1:19", "longer bar before"),
        ("| A D@5 |", "1:7", "not in this bar, which begins with 1 and ends before 5"),
        ("| A D@1 |", "1:5", "doesn't come after"),
        ("| A {hit 5} |", "1:5", "beat 5 is not in this bar"),
        ("| A {hit} |", "1:5", "write the beats of the hits"),
        ("| A {brake} |", "1:5", "did you mean 'break'?"),
        ("| A {4/5} |", "1:5", "not a meter"),
        ("| A {short x} |", "1:5", "{short 2}"),
        ("| {hit 1 |", "1:3", "no partner"),
        ("[A] x0\n| A |", "1:6", "not 0 times"),
        ("[A]\n[B]\n| A |", "1:1", "[A] has no bars"),
        ("[A\n| A |", "1:1", "not closed"),
        ("| A |\nA7 D7", "2:1", "no line of a chart"),
    ],
)
def test_a_wrong_chart_is_told_with_its_place(text: str, place: str, words: str) -> None:
    found = problem(text)
    assert found.startswith(f"x.txt:{place}: ")
    assert words in found


def test_a_sheet_can_stand_in_for_a_chart() -> None:
    assert len(chart_of("title: x\n| A | D |\nline:\nnot read here\n").bars) == 2
