"""Sheets: what is written reads back equal, and whatever is typed ends in a Tune or a FileError."""

from __future__ import annotations

from contextlib import suppress
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from solowright.errors import FileError
from solowright.files.sheet import read_chart, read_sheet, write_sheet
from solowright.files.tab_write import fits_tab
from solowright.music.chart import Chart
from solowright.music.pitch import Tone
from solowright.music.time import Feel, Meter
from solowright.music.tune import STANDARD_TUNING, Key, Tune
from tests.files.any_tunes import charts, free_tunes, tunes

CAREFUL = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])

SHEET = r"""
# A tune of our own, to try everything on.
title: Night Ferry
composer: The House Band
key: F#m
meter: 4/4
feel: swing 3:2
tempo: 186; bar 4 120; bar 6 beat 3 90.5
tuning: D2 A2 D3 G3 B3 E4
capo: 2
pickup: 1

[Lead-in]
| N.C. |
[Vamp] x2
| A7 | % | D7@1 A7@4.5 {hit 1 2.5 4} |
[Bridge]
| {3/4} Fmaj7 . B7 {answer 3 3.5} | N.C. {break} |

line:
           4 &   1 & 2 & 3 & 4 &   1 e & a 2 t l 3 . . . . 4 &
        e|-----|-----------------|-----------------------------|
        B|-5h7-|-7---------------|---------<12>----------------|
        G|-----|-7b9r7---5/7~----|-7--g5h7-----,---------------|
        D|-----|-----------------|-0-----0-----------------x---|
        A|-----|-----------------|-----------------------------|
        D|-----|-----------------|-----------------------------|
  fingers  1 3   31      1 3       3.  1 3.
  picks    d                       u*

bar 7 [Bridge]
           1 & 2 & 3 &
        e|-------------|
        B|-------------|
        G|-4-----,-----|
        D|-------------|
        A|-------------|
        D|-------------|
  names    Db
"""


def read(text: str) -> Tune:
    return read_sheet(text.encode(), "x.solo")


def problems(text: str) -> list[str]:
    with pytest.raises(FileError) as found:
        read(text)
    return [str(problem) for problem in found.value.problems]


def test_the_header_is_read() -> None:
    tune = read(SHEET)
    assert (tune.title, tune.composer) == ("Night Ferry", "The House Band")
    assert (tune.key, tune.feel) == (Key(Tone(3, 1), True), Feel(Fraction(3, 2)))
    assert (tune.tuning, tune.capo) == ((64, 59, 55, 50, 45, 38), 2)
    starts = tune.chart.starts
    assert tune.tempo.changes == ((0, 186.0), (starts[4], 120.0), (starts[6] + 2, 90.5))
    assert tune.chart.pickup
    assert [bar.length for bar in tune.chart.bars] == [1, 4, 4, 4, 4, 4, 4, 3, 3]


def test_every_header_line_may_be_left_out() -> None:
    tune = read("| Am7 |\n")
    assert (tune.title, tune.key, tune.tuning, tune.capo) == ("x", Key(Tone(0)), STANDARD_TUNING, 0)
    assert (tune.feel, tune.tempo.changes, tune.chart.bars[0].meter) == (Feel(), ((0, 120.0),), Meter(4, 4))
    assert not tune.line.notes


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("tuning: drop D", (64, 59, 55, 50, 45, 38)),
        ("tuning: DADGAD", (62, 57, 55, 50, 45, 38)),
        ("tuning: D A D G B E", (64, 59, 55, 50, 45, 38)),
        ("tuning: Eb Ab Db Gb Bb Eb", (63, 58, 54, 49, 44, 39)),
        ("tuning: B1 E2 A2 D3 G3 B3 E4", (64, 59, 55, 50, 45, 40, 35)),
    ],
)
def test_tunings_are_named_as_in_the_trade(line: str, expected: tuple[int, ...]) -> None:
    assert read(f"{line}\n| A |\n").tuning == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("straight", Feel()),
        ("swing", Feel(Fraction(2))),
        ("swing 1.5", Feel(Fraction(3, 2))),
        ("swing 5:3", Feel(Fraction(5, 3))),
        ("sixteenth swing", Feel(Fraction(2), Fraction(1, 4))),
        ("swing 3:2 sixteenths", Feel(Fraction(3, 2), Fraction(1, 4))),
    ],
)
def test_feels(text: str, expected: Feel) -> None:
    assert read(f"feel: {text}\n| A |\n").feel == expected


@pytest.mark.parametrize(
    ("text", "tonic", "minor"),
    [("A", "A", False), ("Bb major", "Bb", False), ("F#m", "F#", True), ("c# minor", "C#", True)],
)
def test_keys(text: str, tonic: str, minor: bool) -> None:
    key = read(f"key: {text}\n| A |\n").key
    assert (key.tonic.name, key.minor) == (tonic, minor)


@pytest.mark.parametrize(
    ("text", "place", "words"),
    [
        ("", "1:1", "there is no chart"),
        ("title: x\nline:\n", "2:1", "there is no chart"),
        ("tempoo: 100\n| A |\n", "1:1", "did you mean 'tempo'?"),
        ("key: H\n| A |\n", "1:6", "'H' is not a key"),
        ("key: G# major\n| A |\n", "1:6", "8 accidentals"),
        ("meter: 4/5\n| A |\n", "1:8", "not a meter"),
        ("feel: swang\n| A |\n", "1:7", "did you mean 'swing'?"),
        ("tempo: fast\n| A |\n", "1:8", "quarter notes a minute"),
        ("tempo: 100; bar 9 90\n| A |\n", "1:1", "no bar 9"),
        ("capo: 13\n| A |\n", "1:7", "write 0 to 12"),
        ("pickup: 5\n| A | D |\n", "2:2", "longer than a bar of 4/4"),
        ("tuning: E4 B3 G3 D3 A2 E2\n| A |\n", "1:9", "from the low one up"),
        ("title: a\ntitle: b\n| A |\n", "2:1", "stands twice"),
        ("| A |\ntempo: 100\n", "2:1", "stands after the chart"),
        ("hello\n| A |\n", "1:1", "no 'key: value'"),
        ("| A |\nline: other.mid\n", "2:7", "no file can be opened"),
    ],
)
def test_a_wrong_header_is_told_with_its_place(text: str, place: str, words: str) -> None:
    found = problems(text)
    assert found[0].startswith(f"x.solo:{place}: ")
    assert words in found[0]


def test_all_problems_are_told_together() -> None:
    text = "| Ahm7 | D77 |\nline:\n   1 & 2 & 3 & 4 &\n" + "".join(
        f"{name}|{'--5' if name == 'B' else '---'}--------------|\n" for name in "eBGDAE"
    )
    found = problems(text)
    assert len(found) == 3
    assert found[0] == "x.solo:1:3: chord 'Ahm7' is not known; did you mean 'Am7'?"
    assert found[1] == "x.solo:1:10: chord 'D77' is not known; did you mean 'D7'?"
    assert found[2].startswith("x.solo:5:5: fret 5 stands under no count")


def test_bytes_that_are_not_utf8_are_told_with_their_place() -> None:
    with pytest.raises(FileError, match=r"^x\.solo:2:8: byte 15 is not UTF-8 text") as found:
        read_sheet(b"key: A\ntitle: \xe9t\xe9\n| A |\n", "x.solo")
    assert len(found.value.problems) == 1


def test_a_sheet_cut_off_in_a_character_says_so() -> None:
    with pytest.raises(FileError, match=r"is not UTF-8 text.*cut off"):
        read_sheet("title: é".encode()[:-1], "x.solo")


def test_a_byte_order_mark_and_windows_line_ends_are_fine() -> None:
    tune = read_sheet(b"\xef\xbb\xbf" + SHEET.lstrip().replace("\n", "\r\n").encode(), "x.solo")
    assert tune == read(SHEET)


def test_what_is_read_from_a_sheet_is_written_as_tablature() -> None:
    tune = read(SHEET)
    assert fits_tab(tune)
    assert read_sheet(write_sheet(tune), "x.solo") == tune


@settings(CAREFUL, max_examples=120)
@given(tunes())
def test_a_tune_with_frets_is_written_as_tablature_and_reads_back_equal(tune: Tune) -> None:
    assert fits_tab(tune)
    sheet = write_sheet(tune)
    assert read_sheet(sheet, "x.solo") == tune
    assert "|" in sheet.decode().partition("\nline:")[2] or not tune.line.notes


@settings(CAREFUL, max_examples=40)
@given(free_tunes())
def test_a_tune_without_frets_reads_back_equal(tune: Tune) -> None:
    assert read_sheet(write_sheet(tune), "x.solo") == tune


@settings(CAREFUL, max_examples=60)
@given(charts())
def test_a_chart_reads_back_equal(chart: Chart) -> None:
    assert read_chart(write_sheet(Tune("x", chart)), "x.txt") == chart


@settings(CAREFUL, max_examples=150)
@given(st.text(max_size=80) | st.text("|[]{}xA7%.:-#1&line\n eBG5hpt@", max_size=80))
def test_any_text_ends_in_a_tune_or_a_file_error(text: str) -> None:
    with suppress(FileError):
        read_sheet(text.encode("utf-8", "surrogatepass"), "x.solo")


@settings(CAREFUL, max_examples=200)
@given(
    st.integers(0, len(SHEET)),
    st.integers(0, 12),
    st.text("|[]{}x7%.:-#1&\n eBh/\\p<>()~=,g_⅓@", max_size=6) | st.text(max_size=3),
)
def test_a_damaged_sheet_ends_in_a_tune_or_a_file_error(at: int, cut: int, put: str) -> None:
    with suppress(FileError):
        read_sheet((SHEET[:at] + put + SHEET[at + cut :]).encode("utf-8", "surrogatepass"), "x.solo")


def test_a_sheet_cut_off_inside_a_line_is_refused() -> None:
    """A cut inside a bar or a row can be seen; one behind a whole line is a shorter sheet."""
    refused = 0
    begin = SHEET.index("[Bridge]")
    inside = [at for at in range(begin, len(SHEET), 3) if SHEET[at - 1] not in "|\n"]
    for at in inside:
        try:
            read(SHEET[:at])
        except FileError as error:
            refused += 1
            assert len(str(error).splitlines()) == 1
    assert refused >= 0.8 * len(inside)


@settings(CAREFUL, max_examples=150)
@given(st.text("abcABCzZ|[](){}\"!+-&:/0123456789 ^_=.~<>,'\n", max_size=40))
def test_any_abc_under_a_chart_ends_in_a_tune_or_a_file_error(text: str) -> None:
    with suppress(FileError):
        read("| A7 | D7 |\nline:\n" + text)
