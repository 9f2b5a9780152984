"""Practice beside the page: loops, the ladder, one key for clean and one for missed, log, plan, cautions."""

from __future__ import annotations

from datetime import date, timedelta

from playwright.sync_api import Page, expect

from tests.desk.window import Desk, wait_until

RUNG = "[...document.querySelectorAll('.rung')].findIndex(rung => rung.matches('.here'))"


def begin(desk: Desk, size: str = "desktop") -> Page:
    page = desk.open(size)
    desk.lay(page)
    if size == "phone":
        page.get_by_role("button", name="Menu").click()
    page.get_by_role("button", name="Practise").click()
    expect(page.locator(".task")).to_be_visible()
    return page


def test_three_clean_go_up_two_missed_go_back(desk: Desk) -> None:
    page = begin(desk)
    expect(page.locator(".practice .caution").first).to_contain_text("Warm up")
    player = "document.querySelector('sw-player')"
    slow = page.evaluate(f"{player}.percent")
    assert slow < 100 and "start" in page.evaluate(f"{player}.loop")
    first = page.evaluate(RUNG)
    for clean in range(1, 3):
        page.keyboard.press("Enter")
        expect(page.locator(".dot.full")).to_have_count(clean)
    page.keyboard.press("Enter")
    wait_until(page, f"{RUNG} === {first + 1}")
    expect(page.locator(".task .next")).to_contain_text("A burst at 120")
    wait_until(page, f"{player}.percent === 100")
    page.get_by_role("button", name="Clean").click()
    expect(page.locator(".task .next")).not_to_contain_text("burst")
    for _ in range(2):
        page.locator(".practice").focus()
        page.keyboard.press("Backspace")
        page.wait_for_timeout(150)
    wait_until(page, f"{RUNG} === {first}")
    page.get_by_text("Log: 6 so far").click()
    expect(page.locator(".log li").first).to_contain_text("missed")
    page.get_by_role("button", name="Take the last one back").click()
    expect(page.get_by_text("Log: 5 so far")).to_be_visible()
    page.get_by_role("button", name="Back", exact=True).click()
    wait_until(page, f"{player}.loop === null && {player}.percent === 100")


def test_the_plan_until_the_gig_and_how_loud(desk: Desk) -> None:
    page = begin(desk, "phone")
    page.get_by_text("The days until the gig").click()
    gig = date.today() + timedelta(days=9)
    page.get_by_label("Gig").fill(gig.isoformat())
    page.get_by_label("Gig").press("Tab")
    expect(page.locator(".days li").first).to_contain_text("warm-up 5 min")
    assert page.locator(".days li").count() == 9
    expect(page.locator(".days li").nth(6)).to_contain_text("free")
    page.get_by_label("How loud it is").fill("94")
    page.get_by_label("How loud it is").press("Tab")
    expect(page.locator(".practice .caution", has_text="94 dB(A)")).to_contain_text("60 minutes")
