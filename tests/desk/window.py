"""A desk that is really running, and windows on it in a real browser."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from time import monotonic
from typing import Any
from urllib.parse import urlsplit

from playwright.sync_api import Browser, BrowserContext, Page, expect

WIDTHS = {"phone": (390, 844), "tablet": (820, 1180), "desktop": (1440, 900)}
PATIENCE = 30_000  # ms until something that should be there is missed, on a busy machine
expect.set_options(timeout=PATIENCE)

_SERVE = """
import sys
from pathlib import Path
from solowright.desk.serve import serve

if __name__ == "__main__":
    serve(Path(sys.argv[1]), 0, browser=False, tell=lambda address: print(address, flush=True))
"""

FERRY = """\
title: Four for the Ferry
tempo: 120
key: A

[Vamp]
| A7 | % | D7 {hit 1 2.5} | A7 |

line:
   1 & 2 & 3 & 4 &   1 & 2 & 3 & 4 &   1 & 2 & 3 & 4 &   1 & 2 & 3 & 4 &
e|---------5-------|-----------------|-----------------|-----------------|
B|-----5-8---8-5---|-8-5-------------|-7-----7-5-------|-----------------|
G|-5h6-----------6-|-----6-5---------|---------7-5-----|-6---------------|
D|-----------------|---------7-------|-------------7---|-----------------|
A|-----------------|-----------------|-----------------|-----------------|
E|-----------------|-----------------|-----------------|-----------------|
"""


@contextmanager
def running_desk(folder: Path) -> Iterator[str]:
    """Starts a desk over ``folder`` in a process of its own; gives the address to open."""
    folder.mkdir(parents=True, exist_ok=True)
    script = folder.parent / "run_desk.py"
    script.write_text(_SERVE)
    command = [sys.executable, str(script), str(folder)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as desk:
        try:
            assert desk.stdout is not None
            address = desk.stdout.readline().strip()
            assert address.startswith("http://127.0.0.1:"), "the desk didn't start"
            yield address
        finally:
            desk.terminate()


class Desk:
    """Windows on one running desk. Any fault in a window's scripts fails the test that opened it.

    A window without wishes is kept for the tests to come, with nothing remembered but what is unfolded.
    """

    def __init__(self, browser: Browser, address: str) -> None:
        self._browser = browser
        self.address = address
        self.root = "{0.scheme}://{0.netloc}".format(urlsplit(address))
        self.faults: list[str] = []
        self._kept: dict[str, Page] = {}
        self._others: list[Page | BrowserContext] = []

    def open(self, size: str = "desktop", *, toured: bool = True, **wishes: Any) -> Page:
        """A window with nothing remembered, on no tune."""
        if not toured or wishes:
            page = self._new(size, toured, wishes)
            self._others.append(page.context)
            return page
        if size not in self._kept:
            self._kept[size] = self._new(size, True, {})
        page = self._kept[size]
        page.bring_to_front()  # one that lies behind another draws rarely
        page.goto(f"{self.root}/#/")
        page.evaluate("sessionStorage.clear(); localStorage.clear()")
        page.evaluate("localStorage.setItem('solowright-toured', 'yes')")
        return page

    def _new(self, size: str, toured: bool, wishes: dict[str, Any]) -> Page:
        width, height = WIDTHS[size]
        context = self._browser.new_context(viewport={"width": width, "height": height}, **wishes)
        context.set_default_timeout(PATIENCE)
        if toured:
            context.add_init_script("localStorage.setItem('solowright-toured', 'yes')")
        context.request.get(self.address)  # the token in it becomes the window's cookie
        return self._watched(context)

    def open_beside(self, page: Page) -> Page:
        """Another window of the same browser."""
        other = self._watched(page.context)
        self._others.append(other)
        return other

    def _watched(self, context: BrowserContext) -> Page:
        page = context.new_page()
        page.on("pageerror", lambda fault: self.faults.append(str(fault)))
        page.on("console", lambda said: self.faults.append(said.text) if _is_fault(said) else None)
        return page

    def bring(self, page: Page, sheet: str = FERRY, name: str = "ferry.solo") -> str:
        """Puts a tune into the folder; gives its name on the desk."""
        answer = page.request.post(
            f"{self.root}/api/upload?name={name}",
            data=sheet.encode(),
            headers={"origin": self.root, "content-type": "application/octet-stream"},
        )
        assert answer.ok, answer.text()
        return str(answer.json()["name"])

    def lay(self, page: Page, sheet: str = FERRY) -> str:
        """A tune brought in and opened in the window; gives its name."""
        name = self.bring(page, sheet)
        self.show(page, name)
        return name

    def show(self, page: Page, name: str) -> None:
        """Opens a tune of the folder in the window."""
        page.goto(f"{self.root}/#/tune/{name}")
        expect(page.locator(f"sw-tune[name='{name}'] sw-pages .system svg.drawing").first).to_be_visible()

    def tidy(self) -> None:
        """After a test: only the kept windows stay, and nothing stands between them and the server."""
        for other in self._others:
            other.close()
        self._others.clear()
        for page in self._kept.values():
            page.unroute_all()
        faults, self.faults[:] = list(self.faults), []
        assert not faults

    def close(self) -> None:
        for page in self._kept.values():
            page.context.close()


def _is_fault(said: Any) -> bool:
    refused = said.text.startswith("Failed to load resource")  # a refusal that the window shows
    return said.type == "error" and not refused


def notes(page: Page) -> list[dict[str, Any]]:
    """The notes as the window holds them."""
    found: list[dict[str, Any]] = page.evaluate("document.querySelector('sw-tune').session.view.notes")
    return found


def view(page: Page) -> dict[str, Any]:
    """The view as the window holds it."""
    found: dict[str, Any] = page.evaluate("document.querySelector('sw-tune').session.view")
    return found


def revision(page: Page) -> int:
    return int(page.evaluate("document.querySelector('sw-tune').session.answer.revision"))


def wait_until(page: Page, question: str, *, patience: float = PATIENCE / 1000) -> None:
    """Asks the window until the answer is yes. (Its policy forbids the driver's own way to wait.)"""
    end = monotonic() + patience
    while not page.evaluate(question):
        assert monotonic() < end, f"never came true: {question}"
        page.wait_for_timeout(20)


def settled(page: Page) -> None:
    """Waits until no edit is on its way."""
    expect(page.locator("sw-tune.waiting")).to_have_count(0)


def choose_note(page: Page, index: int) -> None:
    """Clicks a note on its fret in the tablature."""
    page.locator(f"sw-pages .note[data-note='{index}'] rect").last.click(force=True)
    wait_until(page, f"document.querySelector('sw-tune').session.chosen.note === {index}")


def choose_bars(page: Page, first: int, last: int) -> None:
    """Chooses bars with the keyboard in the form strip."""
    page.locator("sw-form-strip .map").focus()
    page.keyboard.press("Home")
    for _ in range(first - 1):
        page.keyboard.press("ArrowRight")
    for _ in range(last - first):
        page.keyboard.press("Shift+ArrowRight")
    chosen = "JSON.stringify(document.querySelector('sw-tune').session.chosen.bars)"
    wait_until(page, f"""{chosen} === '{{"first":{first},"last":{last}}}'""")


def unfold(page: Page, title: str) -> None:
    """Opens what is folded away under a title, if it isn't open already."""
    summary = page.locator("summary", has_text=re.compile(f"^{re.escape(title)}$"))
    expect(summary).to_be_visible()
    if summary.locator("xpath=..").get_attribute("open") is None:
        summary.click()
