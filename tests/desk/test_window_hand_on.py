"""Handing on: each file made by its button, with progress, and downloaded; the whole way of a new player."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from solowright.files.load import load
from tests.desk.window import Desk, notes, settled, unfold


def download(page: Page, name: str, to: Path) -> Path:
    with page.expect_download(timeout=60_000) as coming:
        page.get_by_role("button", name=f"Make the {name}", exact=True).click()
    path = to / coming.value.suggested_filename
    coming.value.save_as(path)
    expect(page.get_by_role("link", name="Download").last).to_be_visible()
    return path


def test_the_files_to_hand_on(desk: Desk, tmp_path: Path) -> None:
    page = desk.open()
    name = desk.lay(page)
    page.get_by_role("button", name="Hand on").click()
    assert download(page, "MusicXML", tmp_path).name == f"{name}.musicxml"
    assert download(page, "Booklet", tmp_path).read_bytes().startswith(b"%PDF")
    assert download(page, "Audio", tmp_path).read_bytes().startswith(b"RIFF")
    download(page, "MIDI", tmp_path)
    unfold(page, "More")
    download(page, "Sheet", tmp_path)
    for suffix in (".musicxml", ".mid", ".solo"):
        tune = load(tmp_path / f"{name}{suffix}")
        assert len(tune.line.notes) == len(notes(page)), suffix


def test_progress_is_shown_while_it_is_made(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    page.get_by_role("button", name="Hand on").click()
    page.get_by_role("button", name="Make the Audio").click()
    expect(page.get_by_role("progressbar", name="Audio")).to_be_visible()
    expect(page.locator(".kind.audio .told")).to_have_text("Ready.", timeout=30_000)
    expect(page.locator(".kind.audio a")).to_be_focused()


@pytest.mark.parametrize("size", ["desktop", "phone"])
def test_a_new_player_from_start_to_a_booklet_of_eight_bars(desk: Desk, size: str, tmp_path: Path) -> None:
    """Only what the window itself offers, one step after the other."""
    page = desk.open(size, toured=False)
    page.goto(desk.root)
    page.get_by_role("button", name="New tune").click()
    page.get_by_label("Title").fill("My Eight Bars")
    page.get_by_role("button", name="Lay it on the desk").click()
    page.get_by_role("button", name="Type bars 1–2").click()  # no tour while there is nothing to show
    expect(page.locator("textarea.typed")).to_be_focused()
    for key in "5 8 5 8":
        page.keyboard.press("ArrowRight" if key == " " else key)
    for bars in ("3–4", "5–6", "7–8"):
        page.get_by_role("button", name=f"On to bars {bars}").click()
        expect(page.get_by_role("textbox", name=f"Bars {bars} as text")).to_be_focused()
        page.keyboard.type("7")
    page.get_by_role("button", name="Done").click()
    settled(page)
    assert [note["fret"] for note in notes(page)] == [5, 8, 5, 8, 7, 7, 7]
    assert page.locator("[data-keep='stem-guitar']").count() == 1, "the line is heard now"
    if size == "phone":
        page.get_by_role("button", name="Menu").click()
    page.get_by_role("button", name="Hand on").click()
    assert download(page, "Booklet", tmp_path).read_bytes().startswith(b"%PDF")
