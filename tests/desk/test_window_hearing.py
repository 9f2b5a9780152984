"""Hearing at the foot: play, loops, tempo, stems, count-in, gain, and what follows along."""

from __future__ import annotations

from playwright.sync_api import Page, Request, expect

from tests.desk.window import Desk, choose_bars, choose_note, settled, view, wait_until

TIME = "document.querySelector('sw-player').time"
PLAYING = "document.querySelector('sw-player').playing"


def play(page: Page) -> None:
    page.get_by_role("button", name="Play").click()
    wait_until(page, PLAYING)


def test_play_stop_and_what_follows_along(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    page.get_by_label("count in").uncheck()
    play(page)
    wait_until(page, f"{TIME} > 0.3")
    expect(page.locator("sw-pages line.now").first).to_have_attribute("visibility", "visible")
    expect(page.locator("sw-hand-path line.now").first).to_have_attribute("visibility", "visible")
    expect(page.locator("sw-neck .now circle").first).to_be_visible()
    page.get_by_role("button", name="Stop").click()
    assert not page.evaluate(PLAYING)
    stood = page.evaluate(TIME)
    page.locator("main").focus()
    page.keyboard.press(" ")
    wait_until(page, f"{PLAYING} && {TIME} > {stood}")
    page.keyboard.press(" ")
    wait_until(page, f"!{PLAYING}")


def test_a_bar_is_counted_in(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    play(page)
    assert page.evaluate(TIME) < 0, "the count-in comes before the tune"


def test_chosen_bars_go_round(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    page.get_by_label("count in").uncheck()
    choose_bars(page, 2, 2)
    page.get_by_role("button", name="Loop bar 2").click()
    looping = page.get_by_role("button", name="Looping bar 2")
    expect(looping).to_have_attribute("aria-pressed", "true")
    bar = view(page)["bars"][1]
    play(page)
    wait_until(page, f"{TIME} > {bar['time'] + bar['length'] * 0.8}")
    wait_until(page, f"{TIME} < {bar['time'] + bar['length'] * 0.5}")
    assert page.evaluate(TIME) >= bar["time"] - 0.01 and page.evaluate(PLAYING)
    page.locator("main").focus()
    page.keyboard.press("o")
    expect(page.get_by_role("button", name="Loop bar 2")).to_have_attribute("aria-pressed", "false")


def test_any_tempo_from_30_to_110_percent(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    slide = page.get_by_label("Tempo", exact=True)
    assert (slide.get_attribute("min"), slide.get_attribute("max")) == ("30", "110")
    quarters, percent = page.get_by_label("Quarter notes a minute"), page.get_by_label("Percent of the tempo")
    expect(quarters).to_have_value("120")
    with page.expect_request(lambda request: "percent=75.833" in request.url):
        quarters.fill("91")
        quarters.press("Enter")
    expect(percent).to_have_value("75.8")
    with page.expect_request(lambda request: "percent=110" in request.url):
        percent.fill("300")
        percent.press("Enter")
    expect(page.locator("#said")).to_contain_text("36 to 132 a minute")
    expect(quarters).to_have_value("132")
    slide.focus()
    with page.expect_request(lambda request: "percent=30" in request.url):
        page.keyboard.press("Home")
    expect(percent).to_have_value("30")
    page.get_by_label("count in").uncheck()
    play(page)
    before = page.evaluate(TIME)
    page.wait_for_timeout(600)
    assert page.evaluate(TIME) - before < 0.4, "show time goes by slowly"


def test_stems_fall_silent(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    stems = "Object.fromEntries(document.querySelector('sw-player').stems.map(s => [s.name, s.on]))"
    assert page.evaluate(stems) == {
        "guitar": True, "bass": True, "drums": True, "comping": True, "click": False,
    }  # fmt: skip
    page.get_by_role("checkbox", name="guitar").uncheck()
    page.get_by_role("checkbox", name="click").check()
    now = page.evaluate(stems)
    assert now["click"] and not now["guitar"] and now["bass"]


def test_gain_is_heard_at_once_and_measured(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    page.get_by_label("count in").uncheck()
    play(page)
    slide = page.get_by_label("Gain")

    def of_the_guitar(request: Request) -> bool:
        return "/sound/guitar" in request.url and "gain=35" in request.url

    with page.expect_request(of_the_guitar):
        slide.fill("35")
    assert page.evaluate(PLAYING), "what sounded goes on until the new sound is there"
    expect(page.locator(".gain .told")).to_contain_text("slurs", timeout=30_000)
    expect(page.locator(".gain .curve path.gap")).to_have_count(1)
    expect(slide).to_have_attribute("aria-valuetext", "35 decibels, slurs speak")


def test_playing_goes_on_through_an_edit(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    page.get_by_label("count in").uncheck()
    play(page)
    choose_note(page, 1)
    with page.expect_request(lambda request: "/sound/guitar" in request.url):
        page.get_by_role("radio", name="picked").check()
        settled(page)
    assert page.evaluate(PLAYING)
    before = page.evaluate(TIME)
    wait_until(page, f"{TIME} > {before} + 0.1")


def test_what_was_edited_in_silence_is_heard_at_the_next_play(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    page.get_by_label("count in").uncheck()
    play(page)
    page.get_by_role("button", name="Stop").click()
    before = page.evaluate("document.querySelector('sw-tune').session.answer.sound.guitar")
    choose_note(page, 1)
    page.get_by_role("radio", name="picked").check()
    settled(page)
    key = page.evaluate("document.querySelector('sw-tune').session.answer.sound.guitar")
    assert key != before
    with page.expect_request(lambda request: f"key={key}" in request.url):
        play(page)
