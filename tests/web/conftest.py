"""A plain page of the shared elements, served from this machine, in a real browser."""

from __future__ import annotations

import json
import shutil
import threading
from collections.abc import Iterator
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any, ClassVar

import pytest
from playwright.sync_api import Browser, Page

from solowright.demo import bundled_tune
from solowright.form import work_out_arc
from solowright.web.view import view_json
from solowright.work import work_out

STATIC = Path(__file__).parents[2] / "src" / "solowright" / "web" / "static"
POLICY = "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self'; object-src 'none'"
PAGE = Path(__file__).parent / "page.html"


@pytest.fixture(scope="session")
def demo_view() -> dict[str, Any]:
    worked = work_out(bundled_tune())
    assert worked.reading is not None
    arc = work_out_arc(worked.tune, worked.fingering, worked.reading)
    return view_json(worked, arc, narrow=250.0)


class Handler(SimpleHTTPRequestHandler):
    """Serves a folder under the desk's own policy, quietly."""

    extensions_map: ClassVar[dict[str, str]] = {
        **SimpleHTTPRequestHandler.extensions_map, ".js": "text/javascript",
    }

    def end_headers(self) -> None:
        self.send_header("Content-Security-Policy", POLICY)
        super().end_headers()

    def log_message(self, format: str, *args: object) -> None:
        pass


@pytest.fixture(scope="session")
def site(demo_view: dict[str, Any], tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    folder = tmp_path_factory.mktemp("site")
    shutil.copytree(STATIC, folder / "web")
    for name in ("page.html", "page.js", "tap.js"):
        shutil.copy(Path(__file__).parent / name, folder / name)
    (folder / "favicon.ico").touch()
    (folder / "view.json").write_text(json.dumps(demo_view))
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(Handler, directory=str(folder)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()


@pytest.fixture
def page(browser: Browser, site: str) -> Iterator[Page]:
    """The page at desktop width; a fault in it or a break of the policy fails the test."""
    opened = browser.new_page(viewport={"width": 1440, "height": 900})
    faults: list[str] = []
    opened.on("pageerror", lambda fault: faults.append(str(fault)))
    opened.on("console", lambda said: faults.append(said.text) if said.type == "error" else None)
    opened.goto(f"{site}/page.html")
    opened.wait_for_selector("html[data-ready]")
    yield opened
    opened.close()
    assert not faults
