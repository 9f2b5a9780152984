"""Widths and extents of set text, against the fonts' own tables read another way."""

from __future__ import annotations

import pytest
from fontTools.ttLib import TTFont

from solowright.page.lettering import TEXT_FONT_FOLDERS, set_text, sign, text_width, wrap


def test_widths_are_the_fonts_advances() -> None:
    font = TTFont(TEXT_FONT_FOLDERS[0] / "SourceSansPro-Regular.ttf")  # the same design as other outlines
    for letter in "Amg1":
        advance = font["hmtx"][font.getBestCmap()[ord(letter)]][0] / font["head"].unitsPerEm
        assert set_text(letter, "sans").width == pytest.approx(advance, abs=0.002)


def test_kerning_draws_pairs_together() -> None:
    alone = set_text("A", "serif").width + set_text("V", "serif").width
    assert set_text("AV", "serif").width < alone - 0.03


def test_accidentals_stand_like_capitals() -> None:
    capital = set_text("B", "sans-bold").extent
    for text in ("♭", "♯", "♮"):
        low, high = set_text(text, "sans-bold").extent[1::2]
        assert -0.12 < low < 0.05
        assert capital[3] - 0.1 < high < capital[3] + 0.15


def test_what_an_italic_lacks_comes_from_the_upright() -> None:
    italic, upright = set_text("Δ", "sans-italic"), set_text("Δ", "sans")
    assert italic.glyphs[0].glyph == upright.glyphs[0].glyph


def test_music_signs_have_smufl_sizes() -> None:
    left, low, right, high = sign("E0A4").extent  # a black notehead is one space high (250 units)
    assert high - low == pytest.approx(250, abs=2)
    assert right - left == pytest.approx(295, abs=2)


def test_wrapped_lines_fit_and_lose_nothing() -> None:
    text = "half-whole diminished over the dominant, with ♭9 and ♯9, moved by three frets"
    rows = wrap(text, "serif", 8.0, 120.0)
    assert " ".join(rows) == text
    assert all(text_width(row, "serif", 8.0) <= 120.0 for row in rows)
    assert wrap("immeasurably", "serif", 8.0, 5.0) == ["immeasurably"]
    assert wrap("", "serif", 8.0, 50.0) == []
