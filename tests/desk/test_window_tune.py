"""The view of a tune: strip, page, hand path, reasons, at three widths, by mouse, keys and touch."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.desk.window import WIDTHS, Desk, choose_bars, choose_note, settled, unfold, view, wait_until


@pytest.mark.parametrize("size", WIDTHS)
def test_everything_is_there_and_nothing_sticks_out(desk: Desk, size: str) -> None:
    page = desk.open(size)
    desk.lay(page)
    for part in ("sw-form-strip", "sw-pages", "sw-hand-path", "sw-side", "sw-hearing"):
        expect(page.locator(part).first).to_be_visible()
    width, height = WIDTHS[size]
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate("document.documentElement.scrollHeight") <= height
    systems = page.evaluate("document.querySelector('sw-tune').session.view.systems.map(s => s.width)")
    assert systems[0] == (270 if size == "phone" else 500), "a phone's systems hold fewer bars"
    for button in page.locator("button:visible").all():
        box = button.bounding_box()
        assert box and box["x"] >= 0 and box["x"] + box["width"] <= width + 0.5, button.inner_text()


def test_reasons_follow_the_pointer(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    heading = page.locator("sw-side h2")
    expect(heading).to_have_text("The whole solo")
    page.locator("sw-pages .note[data-note='4'] rect").last.hover(force=True)
    expect(heading).to_have_text("A4 in bar 1, beat 3")
    expect(page.locator("sw-side .what")).to_contain_text("of A7")
    page.locator("sw-form-strip .map [data-bar='3']").hover(force=True)
    expect(heading).to_have_text("Bar 3")
    expect(page.locator("sw-side .what")).to_contain_text("hits on 1, 2.5")
    page.locator("sw-tune h1").hover()
    expect(heading).to_have_text("The whole solo")
    facts = page.locator("sw-tune .facts")
    told = "Show tempo 120 · playable up to [0-9]+: bar [1-4] is the hardest"
    expect(facts).to_contain_text(re.compile(told))
    facts.get_by_role("button").click()
    expect(heading).to_have_text(f"Bar {view(page)['crux']['bar']}")
    unfold(page, "The whole tune")
    page.get_by_label("Show tempo").fill("390")
    page.get_by_label("Show tempo").press("Enter")
    expect(facts).to_contain_text(re.compile("Show tempo 390 · playable up to [0-9]+: [0-9] bars? too fast"))


def test_a_note_is_chosen_by_mouse_keys_and_touch(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    choose_note(page, 4)
    expect(page.locator("sw-side h2")).to_have_text("A4 in bar 1, beat 3")
    page.locator("main").focus()
    page.keyboard.press("ArrowRight")
    expect(page.locator("sw-side h2")).to_have_text("G4 in bar 1, beat 3.5")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowLeft")
    expect(page.locator("sw-side h2")).to_have_text("G4 in bar 1, beat 2.5")
    page.keyboard.press("Escape")
    expect(page.locator("sw-side h2")).to_have_text("The whole solo")

    phone = desk.open("phone", has_touch=True, is_mobile=True)
    desk.show(phone, "four-for-the-ferry")
    phone.locator("sw-pages .note[data-note='2'] rect").last.tap(force=True)
    expect(phone.locator("sw-side h2")).to_have_text("E4 in bar 1, beat 2")
    expect(phone.locator("sw-side .place").first).to_be_visible()
    phone.get_by_role("button", name="Less").tap()
    expect(phone.locator("sw-side .place").first).to_be_hidden()


def test_bars_are_chosen_in_the_strip_and_widened_by_keys(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    choose_bars(page, 2, 3)
    expect(page.locator("sw-side h2")).to_have_text("Bars 2–3")
    expect(page.get_by_role("button", name="Loop bars 2–3")).to_be_enabled()
    page.locator("main").focus()
    page.keyboard.press("e")
    expect(page.locator("sw-side h2")).to_have_text("Bars 2–4")
    page.keyboard.press("w")
    page.keyboard.press("w")
    expect(page.locator("sw-side h2")).to_have_text("Bar 2")


def test_bars_are_chosen_and_looped_with_a_finger(desk: Desk) -> None:
    page = desk.open("phone", has_touch=True, is_mobile=True)
    desk.lay(page)
    first, third = (page.locator(f"sw-form-strip .map [data-bar='{bar}']").bounding_box() for bar in (1, 3))
    assert first and third
    finger = page.context.new_cdp_session(page)
    y = first["y"] + first["height"] / 2
    ends = first["x"] + 10, third["x"] + third["width"] - 10
    steps = [ends[0] + (ends[1] - ends[0]) * step / 6 for step in range(7)]
    finger.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": ends[0], "y": y}]})
    for x in steps[1:]:
        finger.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [{"x": x, "y": y}]})
        page.wait_for_timeout(30)
    page.wait_for_timeout(200)  # a finger that rests before it leaves doesn't fling
    finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    expect(page.locator("sw-side h2")).to_have_text("Bars 1–3")
    page.get_by_role("button", name="Loop bars 1–3").tap()
    expect(page.get_by_role("button", name="Looping bars 1–3")).to_have_attribute("aria-pressed", "true")


def test_a_click_on_the_page_goes_there(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    system = page.locator("sw-pages .staff").first.bounding_box()
    third = view(page)["systems"][0]["bars"][2]
    assert system
    scale = system["width"] / view(page)["systems"][0]["width"]
    page.mouse.click(system["x"] + (third[1] + third[2]) / 2 * scale, system["y"] + 4)
    expect(page.locator("sw-side h2")).to_have_text("Bar 3")
    bar = view(page)["bars"][2]
    time = page.evaluate("document.querySelector('sw-player').time")
    assert bar["time"] < time < bar["time"] + bar["length"]


def test_light_and_dark_are_remembered(desk: Desk) -> None:
    page = desk.open(color_scheme="light")
    desk.lay(page)
    paper = "getComputedStyle(document.body).backgroundColor"
    assert page.evaluate(paper) == "rgb(255, 255, 255)"
    page.get_by_role("button", name="Light: auto").click()
    page.get_by_role("button", name="Light: day").click()
    expect(page.get_by_role("button", name="Light: night")).to_be_focused()
    assert page.evaluate(paper) == "rgb(20, 23, 26)"
    page.reload()
    expect(page.get_by_role("button", name="Light: night")).to_be_visible()
    assert page.evaluate(paper) == "rgb(20, 23, 26)"


@pytest.mark.parametrize("size", WIDTHS)
def test_the_tour_of_the_first_start(desk: Desk, size: str) -> None:
    page = desk.open(size, toured=False)
    desk.lay(page)
    tour = page.locator(".tour")
    width, height = WIDTHS[size]
    for stop in range(5):
        expect(tour.locator(".count")).to_have_text(f"{stop + 1} of 5")
        expect(tour.locator(".main")).to_be_focused()
        box = tour.bounding_box()
        assert box and box["x"] >= 0 and box["y"] >= 0
        assert box["x"] + box["width"] <= width and box["y"] + box["height"] <= height
        page.keyboard.press("Enter")
    expect(tour).to_have_count(0)
    page.reload()
    expect(page.locator("sw-pages .system").first).to_be_visible()
    expect(tour).to_have_count(0)


def test_single_keys_can_be_switched_off(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    page.get_by_role("button", name="Keys").click()
    page.get_by_label("Single keys work while nothing is typed").uncheck()
    page.keyboard.press("Escape")
    expect(page.locator("dialog")).to_have_count(0)
    expect(page.get_by_role("button", name="Keys")).to_be_focused()
    page.locator("main").focus()
    page.keyboard.press("e")
    page.keyboard.press("ArrowRight")
    expect(page.locator("sw-side h2")).to_have_text("The whole solo")
    page.get_by_role("button", name="Keys").click()
    page.get_by_label("Single keys work while nothing is typed").check()
    page.keyboard.press("Escape")
    page.locator("main").focus()
    page.keyboard.press("ArrowRight")
    expect(page.locator("sw-side h2")).to_have_text("C4 in bar 1, beat 1")


def test_the_arc_over_the_strip_and_what_flash_costs(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    line = "document.querySelector('sw-form-strip').shadowRoot.querySelector('.arc').getAttribute('points')"
    before = page.evaluate(line)
    unfold(page, "How it builds")
    page.get_by_role("radio", name="height").check()
    wait_until(page, f"{line} !== '{before}'")
    page.get_by_role("radio", name="all together").check()
    wait_until(page, f"{line} === '{before}'")
    unfold(page, "What is spent on flash")
    expect(page.get_by_role("meter")).to_be_visible()


def test_a_passage_is_played_plainer_and_as_before(desk: Desk) -> None:
    page = desk.open()
    name = page.request.post(f"{desk.root}/api/demo", headers={"origin": desk.root}).json()["name"]
    desk.show(page, name)
    count = len(view(page)["notes"])
    unfold(page, "What is spent on flash")
    page.get_by_role("button", name="Play bar 2, beat 2.5 plainer").click()
    settled(page)
    assert len(view(page)["notes"]) < count
    page.keyboard.press("Control+z")
    settled(page)
    assert len(view(page)["notes"]) == count
