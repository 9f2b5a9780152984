"""The first view: what is in the folder, and every way to begin a tune."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import expect

from solowright.files.load import load, save
from tests.desk.window import FERRY, Desk, view

ABC = "X:1\nT:No Chords Here\nM:4/4\nL:1/8\nK:A\n|A2c2e2c2|d2f2a2f2|\n"


def test_every_tune_is_listed_with_the_picture_of_its_arc(desk: Desk) -> None:
    page = desk.open()
    desk.bring(page)
    page.goto(desk.address)  # as it was printed, token and all
    assert "token" not in page.url
    card = page.get_by_role("link", name="Four for the Ferry").first
    expect(card).to_contain_text("4 bars · 120")
    expect(card).to_contain_text("Vamp")
    assert card.locator(".arc-picture .bar").count() == 4
    card.click()
    expect(page.get_by_role("heading", name="Four for the Ferry")).to_be_visible()
    page.get_by_role("link", name="Tunes").click()
    expect(page.get_by_role("heading", name="Your tunes")).to_be_visible()


def test_a_new_tune_by_keys_alone(desk: Desk) -> None:
    page = desk.open()
    page.goto(desk.root)
    page.get_by_role("button", name="New tune").focus()
    page.keyboard.press("Enter")
    page.keyboard.type("Quay Street")
    for _ in range(3):
        page.keyboard.press("Tab")
    page.keyboard.type("140")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("Control+A")
    page.keyboard.type("| Em7 | A7 | Dmaj7 | % |")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Quay Street")).to_be_visible()
    shown = view(page)
    assert [bar["chords"][0]["symbol"] for bar in shown["bars"]] == ["Em7", "A7", "Dmaj7", "Dmaj7"]
    assert shown["tempo"] == 140


def test_a_new_tune_is_told_what_is_wrong_with_its_chords(desk: Desk) -> None:
    page = desk.open()
    page.goto(desk.root)
    page.get_by_role("button", name="New tune").click()
    page.get_by_label("Title").fill("Wrong")
    page.get_by_label("Chords").fill("| A7 | Hmm7 |")
    page.get_by_role("button", name="Lay it on the desk").click()
    expect(page.get_by_role("alert")).to_contain_text("Hmm7")
    page.get_by_label("Chords").fill("| A7 | Bm7 |")
    page.get_by_role("button", name="Lay it on the desk").click()
    expect(page.get_by_role("heading", name="Wrong")).to_be_visible()


def test_files_of_every_kind_by_the_file_button(desk: Desk, tmp_path: Path) -> None:
    sheet = tmp_path / "ferry.solo"
    sheet.write_text(FERRY)
    tune = load(sheet)
    page = desk.open()
    for suffix in (".musicxml", ".mid", ".abc"):
        file = tmp_path / f"from{suffix}"
        save(tune, file)
        page.goto(desk.root)
        with page.expect_file_chooser() as chooser:
            page.get_by_role("button", name="Open a file").click()
        chooser.value.set_files(file)
        if suffix == ".mid":  # may hold chords or not: they are asked for
            page.get_by_role("button", name="Lay it on the desk").click()
        expect(page.locator("sw-tune h1")).to_have_text("Four for the Ferry")
        assert len(view(page)["notes"]) == len(tune.line.notes), suffix


def test_a_file_without_chords_is_asked_for_them(desk: Desk, tmp_path: Path) -> None:
    file = tmp_path / "bare.abc"
    file.write_text(ABC)
    page = desk.open()
    page.goto(desk.root)
    with page.expect_file_chooser() as chooser:
        page.get_by_role("button", name="Open a file").click()
    chooser.value.set_files(file)
    page.get_by_label("Its chords").fill("| A7 | D7 |")
    page.get_by_role("button", name="Lay it on the desk").click()
    expect(page.get_by_role("heading", name="No Chords Here")).to_be_visible()
    assert [bar["chords"][0]["symbol"] for bar in view(page)["bars"]] == ["A7", "D7"]


def test_a_file_dropped_anywhere(desk: Desk) -> None:
    page = desk.open()
    page.goto(desk.root)
    dropped = page.evaluate_handle(
        """text => { const data = new DataTransfer();
        data.items.add(new File([text], "dropped.solo", { type: "text/plain" })); return data; }""",
        FERRY.replace("Four for the Ferry", "Dropped"),
    )
    page.dispatch_event("body", "dragenter", {"dataTransfer": dropped})
    expect(page.locator(".drop-veil")).to_be_visible()
    page.dispatch_event("body", "drop", {"dataTransfer": dropped})
    expect(page.get_by_role("heading", name="Dropped")).to_be_visible()
    expect(page.locator(".drop-veil")).to_have_count(0)


def test_a_file_that_is_no_tune_is_refused_in_a_sentence(desk: Desk, tmp_path: Path) -> None:
    file = tmp_path / "holiday.txt"
    file.write_text("sun")
    page = desk.open()
    page.goto(desk.root)
    with page.expect_file_chooser() as chooser:
        page.get_by_role("button", name="Open a file").click()
    chooser.value.set_files(file)
    expect(page.get_by_role("status")).to_contain_text("holiday.txt")
    page.get_by_role("button", name="Close").click()
    expect(page.locator("#said")).to_be_empty()


def test_the_demo_opens(desk: Desk) -> None:
    page = desk.open()
    page.goto(desk.root)
    page.get_by_role("button", name="Try the demo").click()
    expect(page.get_by_role("heading", name="Tramline Nine")).to_be_visible()
    expect(page.locator("sw-pages .system").first).to_be_visible()
