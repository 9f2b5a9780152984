"""Every view under axe's rules for WCAG 2.2 AA, in light and dark; focus always visible; types hold."""

from __future__ import annotations

import subprocess
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.desk.window import Desk, choose_bars, choose_note, unfold
from tests.node import node_module

STATIC = Path(__file__).parents[2] / "src" / "solowright" / "desk" / "static"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def violations(page: Page) -> list[str]:
    """What axe-core finds, a line each."""
    page.evaluate((node_module("axe-core") / "axe.min.js").read_text("utf-8"))
    found: list[dict[str, Any]] = page.evaluate(
        "rules => axe.run({ runOnly: rules }).then(result => result.violations)", RULES
    )
    return [
        f"{rule['id']}: {node['target']} {node['failureSummary']}" for rule in found for node in rule["nodes"]
    ]


def seen_without_scrolling(page: Page, foot: str) -> bool:
    """Whether fingers, ways to strike and the first places of a chosen note lie over ``foot``."""
    floor = page.locator(foot).bounding_box()
    assert floor
    boxes = [page.locator(what).bounding_box() for what in (".how >> nth=0", ".place >> nth=0")]
    return all(box and box["y"] + box["height"] <= floor["y"] for box in boxes)


@pytest.mark.parametrize("light", ["light", "dark"])
def test_no_view_breaks_the_rules(desk: Desk, light: Any) -> None:
    page = desk.open(color_scheme=light)
    name = desk.bring(page)
    page.goto(desk.root)
    expect(page.locator(".tune-card").first).to_be_visible()
    assert violations(page) == []
    page.get_by_role("button", name="New tune").click()
    assert violations(page) == []
    desk.show(page, name)
    unfold(page, "How it builds")
    assert violations(page) == []
    choose_note(page, 4)
    expect(page.locator("sw-side .place").nth(1)).to_be_visible()
    assert violations(page) == []
    assert seen_without_scrolling(page, ".side-neck")
    choose_bars(page, 1, 2)
    for fold in ("The band here", "The form here", "The whole tune", "Add a remark"):
        unfold(page, fold)
    assert violations(page) == []
    page.get_by_role("button", name="Other fingerings").click()
    expect(page.locator(".way").first).to_be_visible()
    assert violations(page) == []
    page.get_by_role("button", name="Back", exact=True).click()
    page.get_by_role("button", name="Type bars 1–2 anew").click()
    expect(page.locator("textarea.typed")).to_be_focused()
    assert violations(page) == []
    page.get_by_role("button", name="Back", exact=True).click()
    page.get_by_role("button", name="Practise").click()
    expect(page.locator(".task")).to_be_visible()
    assert violations(page) == []
    for button in ("Hand on", "Your hand", "Keys"):
        page.get_by_role("button", name=button).click()
        expect(page.get_by_role("dialog")).to_be_visible()
        expect(page.locator("dialog [aria-busy]")).to_have_count(0)
        assert violations(page) == []
        page.keyboard.press("Escape")
    page.get_by_role("button", name="Tour").click()
    assert violations(page) == []


@pytest.mark.parametrize("size", ["phone", "tablet"])
def test_small_windows_hold_to_them_too(desk: Desk, size: str) -> None:
    page = desk.open(size)
    desk.lay(page)
    if size == "phone":
        page.get_by_role("button", name="Menu").click()
        page.get_by_role("button", name="Mix").click()
    assert violations(page) == []
    choose_note(page, 4)
    expect(page.locator("sw-side .place").nth(1)).to_be_visible()
    assert violations(page) == []
    assert seen_without_scrolling(page, "sw-hearing")


def test_focus_is_always_visible_and_goes_everywhere(desk: Desk) -> None:
    page = desk.open()
    desk.lay(page)
    choose_bars(page, 1, 1)
    page.locator("h1").click()
    page.get_by_role("link", name="Tunes").focus()
    for key in ("Tab", "Shift+Tab"):  # from here on it is the keyboard that moves the focus
        page.keyboard.press(key)
    seen = []
    for _ in range(60):
        told = page.evaluate(
            """() => { let at = document.activeElement;
            while (at.shadowRoot?.activeElement) at = at.shadowRoot.activeElement;
            const mark = at.matches('.words input') ? at.nextElementSibling : at;
            const look = getComputedStyle(mark), box = mark.getBoundingClientRect();
            const lined = rect => { const { visibility, stroke } = getComputedStyle(rect);
              return visibility === 'visible' && stroke !== 'none'; };
            const framed = [...at.querySelectorAll('rect')].some(lined);
            const outlined = look.outlineStyle !== 'none' && parseFloat(look.outlineWidth) >= 2;
            const name = at.textContent?.trim().slice(0, 30) || at.getAttribute('aria-label') || at.id;
            const there = box.width > 0 && box.bottom > 0 && box.top < innerHeight;
            return { name, there, shown: outlined || framed }; }"""
        )
        assert told["shown"] and told["there"], told
        seen.append(told["name"])
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement === document.body"):
            break
    for name in ("Practise", "Hand on", "Play", "Type bar 1 anew", "Other fingerings", "Loop bar 1"):
        assert name in seen, (name, seen)


def test_motion_is_spared_where_it_is_not_wanted(desk: Desk) -> None:
    page = desk.open(reduced_motion="reduce")
    desk.lay(page)
    times = page.evaluate("getComputedStyle(document.querySelector('button.main')).transitionDuration")
    assert set(times.split(", ")) <= {"0s"}


def test_types_hold() -> None:
    compiler = node_module("typescript") / "bin" / "tsc"
    config = Path(__file__).parent / "tsconfig.json"
    done = subprocess.run(["node", compiler, "-p", config], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout


def test_the_page_has_no_script_or_style_of_its_own_text() -> None:
    text = (STATIC / "index.html").read_text("utf-8")
    assert "<style" not in text and " style=" not in text and text.count("<script") == 1
    for path in STATIC.glob("*.js"):
        code = path.read_text("utf-8")
        assert "innerHTML" not in code and "eval(" not in code, path.name
        assert "http://" not in code.replace("http://www.w3.org/2000/svg", "") and "https://" not in code
