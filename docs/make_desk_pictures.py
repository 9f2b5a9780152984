"""Makes the pictures of the desk in docs/pictures: the desk itself, in a browser (``scripts/pictures``)."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

FOLDER = Path(__file__).with_name("pictures")
DESKTOP, TABLET, PHONE = (1440, 900), (820, 1180), (390, 844)

_SERVE = """
import sys
from pathlib import Path
from solowright.desk.serve import serve

if __name__ == "__main__":
    serve(Path(sys.argv[1]), 0, browser=False, tell=lambda address: print(address, flush=True))
"""
SMALL = """\
title: Four for the Ferry
tempo: 120
key: A

[Vamp]
| A7 | % | D7 {hit 1 2.5} | A7 |

line:
   1 & 2 & 3 & 4 &   1 & 2 & 3 & 4 &
e|---------5-------|-----------------|
B|-----5-8---8-5---|-8-5-------------|
G|-5h6-----------6-|-----6-5---------|
D|-----------------|---------7-------|
A|-----------------|-----------------|
E|-----------------|-----------------|
"""


def start(page: Page) -> None:
    """The tunes of the folder."""
    page.locator(".tune-card").first.wait_for()


def tune(page: Page) -> None:
    """The demo laid out."""
    page.get_by_role("link", name="Tramline Nine").click()
    page.locator("sw-pages .system svg.drawing").first.wait_for()


def note(page: Page) -> None:
    """A note chosen, its places beside it."""
    tune(page)
    page.locator("sw-pages .note[data-note='6'] rect").last.click(force=True)
    page.locator("sw-side .place").nth(1).wait_for()
    page.wait_for_timeout(300)


def choose(page: Page, first: int, last: int) -> None:
    """Bars chosen in the strip."""
    tune(page)
    page.locator("sw-form-strip .map").focus()
    for _ in range(first - 1):
        page.keyboard.press("ArrowRight")
    for _ in range(last - first):
        page.keyboard.press("Shift+ArrowRight")


def bars(page: Page) -> None:
    """A passage with its reasons."""
    choose(page, 13, 16)


def typing(page: Page) -> None:
    """Bars being typed."""
    choose(page, 1, 2)
    page.get_by_role("button", name="Type bars 1–2 anew").click()
    page.locator("textarea.typed:enabled").wait_for()
    page.wait_for_timeout(500)


def fingerings(page: Page) -> None:
    """A bar fingered in several ways."""
    choose(page, 3, 3)
    page.get_by_role("button", name="Other fingerings").click()
    page.locator(".way").first.wait_for()


def hand(page: Page) -> None:
    """The player's hand, some of it said."""
    tune(page)
    page.get_by_role("button", name="Your hand").click()
    page.get_by_label("Reach").fill("145")
    page.get_by_label("Positions you like").fill("5, 12")
    page.get_by_role("checkbox", name="little").check()
    page.get_by_label("Reach").blur()


def practice(page: Page) -> None:
    """A step up the ladder."""
    tune(page)
    if page.get_by_role("button", name="Menu").is_visible():
        page.get_by_role("button", name="Menu").click()
    page.get_by_role("button", name="Practise").click()
    page.locator(".task").wait_for()
    for _ in range(4):
        page.keyboard.press("Enter")
        page.wait_for_timeout(400)


def playing(page: Page) -> None:
    """In the middle of the music."""
    tune(page)
    page.get_by_label("count in").uncheck()
    page.get_by_role("button", name="Play").click()
    page.locator("sw-hearing.playing").wait_for(timeout=60_000)
    page.wait_for_timeout(2600)


def arc(page: Page) -> None:
    """The curve of height over the strip."""
    tune(page)
    page.get_by_text("How it builds").click()
    page.get_by_role("radio", name="height").check()
    page.locator(".side-body").evaluate("body => body.scrollTo(0, 430)")


def hand_on(page: Page) -> None:
    """A file made."""
    tune(page)
    page.get_by_role("button", name="Hand on").click()
    page.get_by_role("button", name="Make the MusicXML").click()
    page.get_by_role("link", name="Download").wait_for()


def keys(page: Page) -> None:
    """What the keys do."""
    tune(page)
    page.get_by_role("button", name="Keys").click()


def tour(page: Page) -> None:
    """The second stop of the tour."""
    tune(page)
    page.get_by_role("button", name="Tour").click()
    page.get_by_role("button", name="On", exact=True).click()


# picture, window, light or dark, what is done first
VIEWS: tuple[tuple[str, tuple[int, int], str, Callable[[Page], None]], ...] = (
    ("start", DESKTOP, "light", start),
    ("start-phone", PHONE, "dark", start),
    ("tune", DESKTOP, "light", tune),
    ("tune-dark", DESKTOP, "dark", playing),
    ("tablet", TABLET, "light", note),
    ("phone", PHONE, "light", tune),
    ("phone-note", PHONE, "dark", note),
    ("phone-practice", PHONE, "light", practice),
    ("note", DESKTOP, "light", note),
    ("bars", DESKTOP, "light", bars),
    ("typing", DESKTOP, "light", typing),
    ("fingerings", DESKTOP, "light", fingerings),
    ("hand", DESKTOP, "light", hand),
    ("practice", DESKTOP, "light", practice),
    ("arc", DESKTOP, "light", arc),
    ("hand-on", DESKTOP, "light", hand_on),
    ("keys", DESKTOP, "dark", keys),
    ("tour", DESKTOP, "light", tour),
)


def main() -> None:
    """Takes every picture, or those named on the command line."""
    wanted = set(sys.argv[1:])
    with tempfile.TemporaryDirectory() as space:
        script = Path(space) / "run_desk.py"
        script.write_text(_SERVE)
        command = [sys.executable, str(script), str(Path(space) / "tunes")]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as desk, sync_playwright() as play:
            assert desk.stdout
            address = desk.stdout.readline().strip()
            browser = play.chromium.launch(
                executable_path=os.environ.get("SOLOWRIGHT_CHROMIUM") or shutil.which("chromium"),
                args=["--no-sandbox", "--autoplay-policy=no-user-gesture-required"],
            )
            try:
                fill_folder(browser, address)
                for name, size, light, prepare in VIEWS:
                    if not wanted or name in wanted:
                        picture(browser, address, name, size, light, prepare)
                browser.close()
            finally:
                desk.terminate()


def fill_folder(browser: Browser, address: str) -> None:
    """The demo and a small tune, so that the start view has something to show."""
    context = browser.new_context()
    context.request.get(address)
    root = address.split("/?")[0]
    headers = {"origin": root}
    context.request.post(f"{root}/api/demo", data={}, headers=headers)
    headers["content-type"] = "application/octet-stream"
    context.request.post(f"{root}/api/upload?name=ferry.solo", data=SMALL.encode(), headers=headers)
    context.close()


def picture(
    browser: Browser,
    address: str,
    name: str,
    size: tuple[int, int],
    light: str,
    prepare: Callable[[Page], None],
) -> None:
    """One view, prepared and taken."""
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]},
        color_scheme="dark" if light == "dark" else "light",
        reduced_motion="reduce",
    )
    context.add_init_script("localStorage.setItem('solowright-toured', 'yes')")
    page = context.new_page()
    page.goto(address)
    prepare(page)
    page.mouse.move(0, 0)
    page.wait_for_timeout(300)
    FOLDER.mkdir(exist_ok=True)
    page.screenshot(path=FOLDER / f"desk-{name}.png", animations="disabled")
    context.close()


if __name__ == "__main__":
    main()
