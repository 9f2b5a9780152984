"""The bundled tune and its folder, opened as a user would open them."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
import soundfile
from playwright.sync_api import Browser, Page

from solowright.demo import bundled_tune, make_demo
from solowright.files.load import load
from solowright.neck import finger

WIDTHS = (360, 768, 1280)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_demo(tmp_path_factory.mktemp("demo") / "out").parent


def test_the_tune_has_what_a_feature_has() -> None:
    tune = bundled_tune()
    bars = tune.chart.bars
    symbols = [chord.symbol for _, _, chord in tune.chart.spans if chord]
    assert len(bars) >= 32 and "E13b9" in symbols
    assert sum(bar.pause for bar in bars) == 2
    assert sum(bool(bar.hits) for bar in bars) >= 4 and sum(bar.answered for bar in bars) >= 2
    entries = {note.entry for note in tune.line.notes}
    assert {"hammer", "pull", "slide", "harmonic"} <= entries
    assert any(note.fret == 0 for note in tune.line.notes)
    assert all(note.end <= tune.chart.length for note in tune.line.notes)


def test_the_solo_can_be_played_at_its_tempo() -> None:
    fingering = finger(bundled_tune())
    assert fingering.limit_tempo >= fingering.tempo


def test_minor_third_shapes_are_where_the_tune_says() -> None:
    """Bar 16 by hand: the triads G, E, D♭ and B♭, each three frets below the one before."""
    tune = bundled_tune()
    start = tune.chart.starts[tune.chart.index(16)]
    notes = [note for note in tune.line.notes if start <= note.onset < start + 4]
    shapes = [[(n.string, n.fret) for n in notes[i : i + 3]] for i in range(0, 12, 3)]
    assert shapes[0] == [(1, 15), (2, 15), (3, 16)]
    for before, after in pairwise(shapes):
        assert after == [(string, (fret or 0) - 3) for string, fret in before]
    assert {note.duration for note in notes} == {Fraction(1, 3)}


def test_the_folder_holds_everything(folder: Path) -> None:
    names = {path.name for path in folder.iterdir()}
    assert {"booklet.pdf", "index.html", "tramline-nine.musicxml", "tramline-nine.mid"} <= names
    assert {"with-band.ogg", "band-only.ogg", "guitar-only.ogg", "slow.ogg", "with-band.wav"} <= names
    assert {"arc.svg", "practice.pdf", "parts"} <= names
    pages = sorted((folder / "pages").iterdir())
    assert len(pages) >= 8
    for page in pages:
        ElementTree.parse(page)
    scores = [load(folder / f"tramline-nine{suffix}").line.notes for suffix in (".musicxml", ".solo")]
    there, here = ([(n.onset, n.pitch, n.string, n.fret, n.finger) for n in notes] for notes in scores)
    assert there == here


def test_the_audio_is_whole_and_never_clips(folder: Path) -> None:
    tune = bundled_tune()
    music, rate = soundfile.read(folder / "with-band.wav")
    count_in = 4 * 60 / 186
    assert len(music) / rate >= count_in + tune.seconds(tune.chart.length)
    assert 0.1 < float(np.abs(music).max()) < 10 ** (-1 / 20)
    slow = soundfile.info(folder / "slow.ogg").duration
    assert slow > 1.5 * soundfile.info(folder / "with-band.ogg").duration


def test_a_second_run_replaces_the_first(folder: Path) -> None:
    before = (folder / "tramline-nine.mid").read_bytes()
    make_demo(folder)
    assert (folder / "tramline-nine.mid").read_bytes() == before
    assert not list(folder.parent.glob(".demo-*"))


def images_shown(page: Page) -> bool:
    return bool(page.evaluate("[...document.images].every(i => i.complete && i.naturalWidth > 0)"))


def test_the_page_in_a_browser_at_three_widths(folder: Path, browser: Browser) -> None:
    page = browser.new_page()
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        page.goto((folder / "index.html").as_uri())
        page.wait_for_load_state("load")
        assert images_shown(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    length = page.evaluate(
        """async () => { const a = document.querySelector('audio'); a.preload = 'metadata'; a.load();
        await new Promise((ok, no) => { a.onloadedmetadata = ok; a.onerror = no; });
        return a.duration; }"""
    )
    assert length == pytest.approx(soundfile.info(folder / "with-band.ogg").duration, abs=0.1)
    assert page.locator("li a").count() == 10
    for link in page.locator("a").all():
        assert (folder / str(link.get_attribute("href"))).is_file()
    page.close()
