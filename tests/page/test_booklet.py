"""The booklet opens, has the pages it should, and says what it must; pictures have the right size."""

from __future__ import annotations

import re
import struct
import zlib
from dataclasses import replace
from fractions import Fraction

from lxml import etree

from solowright.music.chart import Chart, Place, Section
from solowright.music.line import make_line
from solowright.music.tune import Tune
from solowright.neck.fingering import Crux, Fingering, finger
from solowright.page.booklet import booklet, limit_words, page_png, page_svg
from tests.page.tunes import at, bar, dense_tune, remarks, short_tune


def page_count(pdf: bytes) -> int:
    """Pages of a PDF: its page objects, also inside compressed object streams (ISO 32000-1, 7.5.7)."""
    bodies = [pdf]
    for match in re.finditer(rb"stream\r?\n(.*?)endstream", pdf, re.DOTALL):
        try:
            bodies.append(zlib.decompress(match[1]))
        except zlib.error:
            continue
    return sum(len(re.findall(rb"/Type\s*/Page\b", body)) for body in bodies)


def png_size(data: bytes) -> tuple[int, int]:
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    return struct.unpack(">II", data[16:24])


def long_tune(bars: int) -> Tune:
    notes = [at(3, 5, n, 1, 1) for n in range(4 * bars)]
    return Tune("Long", Chart((Section("A", (bar("Am7"),) * bars),)), make_line(notes))


def test_title_page_then_systems() -> None:
    tune = short_tune()
    pdf = booklet(tune, remarks(tune))
    assert pdf.startswith(b"%PDF-")
    assert pdf.rstrip().endswith(b"%%EOF")
    assert page_count(pdf) == 2


def test_pages_grow_with_the_tune() -> None:
    assert [page_count(booklet(long_tune(bars))) for bars in (4, 64)] == [2, 4]


def test_a_fingering_adds_its_words_and_the_path_of_the_hand() -> None:
    tune = short_tune()
    plain, told = booklet(tune), booklet(tune, None, finger(tune, refinger=True))
    assert len(told) > len(plain)
    assert page_count(told) == 2


def test_what_is_said_of_the_tempo() -> None:
    crux = Crux(Place(2, Fraction(5, 2)), 0.93, "shift of 5 frets in one eighth")
    assert limit_words(Fingering(142.0, 188.4, crux, ())) == (
        "Tempo 142, playable up to 188 with this fingering.",
        "The hardest spot is bar 2 beat 2.5: shift of 5 frets in one eighth.",
    )
    assert "but playable only up to 120" in limit_words(Fingering(142.0, 120.2, crux, ()))[0]
    assert limit_words(Fingering(142.0, float("inf"), None, ())) == ()


def test_titles_of_any_kind() -> None:
    for title in ("", 'Quotes " and \\ and #let x = 1', "Ünïcode ♭9 — Ж", "Long " * 40):
        assert page_count(booklet(replace(short_tune(), title=title, composer=title))) == 2


def test_one_long_page_as_svg_and_png() -> None:
    tune = dense_tune()
    root = etree.fromstring(page_svg(tune).encode())
    assert root.tag.endswith("svg")
    width, height = (float(part) for part in root.get("viewBox").split()[2:])
    assert height > width
    across, down = png_size(page_png(tune, ppi=72.0))
    assert abs(across - width) <= 1
    assert abs(down - height) <= 1


def test_the_same_tune_gives_the_same_picture() -> None:
    assert page_svg(short_tune()) == page_svg(short_tune())
