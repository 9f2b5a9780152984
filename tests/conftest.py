"""What several test folders share."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, sync_playwright

from solowright.cli import main

SHEET = """\
title: Four for the Ferry
tempo: 120
key: A

[Vamp]
| A7 | % | D7 {hit 1 2.5} | A7 |

line:
   1 & 2 & 3 & 4 &   1 & 2 & 3 & 4 &
e|---------5-------|-----------------|
B|-----5-8---8-5---|-----------------|
G|-5h6-----------6-|-----------------|
D|-----------------|-7---------------|
A|-----------------|-----------------|
E|-----------------|-----------------|
"""

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    """A small sheet of our own."""
    path = tmp_path / "ferry.solo"
    path.write_text(SHEET, "utf-8")
    return path


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs the command line in this process; gives its exit status, standard output and error."""

    def run_command(*arguments: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["solowright", *map(str, arguments)])
        with pytest.raises(SystemExit) as stop:
            main()
        captured = capsys.readouterr()
        return int(stop.value.code or 0), captured.out, captured.err

    return run_command


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """The system's Chromium, one for all tests (its driver runs only once in a process); skips without."""
    found = os.environ.get("SOLOWRIGHT_CHROMIUM") or shutil.which("chromium")
    if not found:
        pytest.skip("no Chromium: install it, or name one in SOLOWRIGHT_CHROMIUM")
    quiet = ["--disable-quic", "--disable-background-networking", "--disable-sync"]
    heard = ["--autoplay-policy=no-user-gesture-required"]
    with sync_playwright() as play:
        opened = play.chromium.launch(executable_path=found, args=["--no-sandbox", *quiet, *heard])
        yield opened
        opened.close()
