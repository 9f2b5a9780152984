"""What goes wrong: a slow server, a reload in the middle, two windows, a server that is gone."""

from __future__ import annotations

import re
from pathlib import Path
from time import sleep

from playwright.sync_api import Browser, Route, expect

from tests.desk.window import (
    Desk,
    choose_bars,
    choose_note,
    notes,
    revision,
    running_desk,
    settled,
    view,
    wait_until,
)


def slow(route: Route) -> None:
    sleep(0.7)
    route.continue_()


def test_a_slow_server_is_told_and_edits_wait_their_turn(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    page.route("**/api/tunes/*/edits", slow)
    choose_note(page, 1)
    page.get_by_role("radio", name="picked").check()
    page.get_by_role("radio", name="slid into").check()
    expect(page.locator("sw-tune.waiting")).to_have_count(1)
    expect(page.locator("sw-tune .facts")).to_be_visible()
    settled(page)
    assert notes(page)[1]["entry"] == "slide"


def test_a_slow_start_says_that_it_is_working(desk: Desk) -> None:
    page = desk.open()
    name = desk.bring(page)
    page.route("**/api/tunes/*", slow)
    page.goto(f"{desk.root}/#/tune/{name}")
    expect(page.get_by_role("status").first).to_contain_text("Laying out")
    expect(page.locator("sw-pages .system").first).to_be_visible()


def test_a_reload_in_the_middle_of_typing_loses_nothing(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    choose_bars(page, 4, 4)
    page.get_by_role("button", name="Type bar 4 anew").click()
    typed = page.locator("textarea.typed")
    expect(typed).to_have_value(re.compile(r"G\|-6"))
    text = typed.input_value().replace("G|-6", "G|-q")
    typed.fill(text)
    expect(page.locator(".retype .told.refusal")).to_be_visible()
    page.reload()
    expect(typed).to_have_value(text)
    typed.fill(text.replace("G|-q", "G|-9"))
    page.get_by_role("button", name="Done").click()
    settled(page)
    assert [note["fret"] for note in notes(page) if note["bar"] == 4] == [9]
    page.reload()
    expect(page.locator("sw-pages .system").first).to_be_visible()
    expect(typed).to_have_count(0)


def test_an_edit_is_there_after_a_reload_and_so_is_its_undo(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    choose_note(page, 1)
    page.get_by_role("radio", name="picked").check()
    settled(page)
    page.reload()
    expect(page.locator("sw-pages .system").first).to_be_visible()
    assert notes(page)[1]["entry"] == "pick"
    page.get_by_role("button", name="Undo").click()
    settled(page)
    assert notes(page)[1]["entry"] == "hammer"


def test_two_windows_see_each_other(desk: Desk) -> None:
    one = desk.open()
    name = desk.lay(one)
    other = desk.open_beside(one)
    desk.show(other, name)
    choose_bars(one, 3, 3)
    one.get_by_label("Chords of bar 3").fill("Eb7")
    one.get_by_label("Chords of bar 3").press("Enter")
    settled(one)
    expect(other.locator("sw-form-strip").get_by_text("E♭7").first).to_be_attached()
    assert revision(one) == revision(other)
    one.bring_to_front()  # a window that lies behind another draws rarely
    try:
        for wide, refused in (("12", True), ("150", False)):
            if not one.get_by_role("dialog").is_visible():
                one.get_by_role("button", name="Your hand").click()
            one.get_by_label("Reach").fill(wide)
            one.get_by_label("Left-handed").check()
            one.get_by_role("button", name="Finger for this hand").click()
            if refused:
                expect(one.locator(".your-hand .refusal")).to_contain_text("from 60 to 250")
                expect(one.get_by_label("Reach")).to_be_focused()
        for window in (one, other):
            wait_until(window, "document.querySelector('sw-tune').session.view.left_handed")
        one.get_by_role("button", name="Your hand").click()
        expect(one.get_by_label("Reach")).to_have_value("150")
        one.get_by_role("button", name="All as usual").click()
        one.get_by_role("button", name="Finger for this hand").click()
        wait_until(other, "!document.querySelector('sw-tune').session.view.left_handed")
    finally:  # the desk is everybody's
        usual = {"said": {"reach": None, "left_handed": None}}
        assert one.request.post(f"{desk.root}/api/player", data=usual, headers={"origin": desk.root}).ok


def test_two_windows_never_overwrite_each_other(desk: Desk) -> None:
    one = desk.open()
    name = desk.lay(one)
    other = desk.open_beside(one)
    other.route("**/events", lambda route: route.abort())  # this window hears of nothing
    desk.show(other, name)
    choose_bars(one, 3, 3)
    one.get_by_label("Chords of bar 3").fill("Eb7")
    one.get_by_label("Chords of bar 3").press("Enter")
    settled(one)
    choose_bars(other, 4, 4)
    other.get_by_label("Chords of bar 4").fill("F#7")
    other.get_by_label("Chords of bar 4").press("Enter")
    expect(other.locator("#said")).to_contain_text("Another window has changed this tune")
    symbols = [chord["symbol"] for bar in view(other)["bars"] for chord in bar["chords"]]
    assert symbols == ["A7", "A7", "Eb7", "A7"]
    other.get_by_role("button", name="Do it again").click()
    settled(other)
    symbols = [chord["symbol"] for bar in view(other)["bars"] for chord in bar["chords"]]
    assert symbols == ["A7", "A7", "Eb7", "F#7"]


def test_a_server_that_is_gone(browser: Browser, tmp_path: Path) -> None:
    with running_desk(tmp_path / "tunes") as address:
        desk = Desk(browser, address)
        page = desk.open()
        desk.lay(page)
    choose_note(page, 1)
    page.get_by_role("radio", name="picked").check()
    expect(page.locator("#said")).to_contain_text("server doesn't answer")
    assert notes(page)[1]["entry"] == "hammer"
    desk.close()
