"""One running desk and its windows for all tests of the window."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser

from tests.desk.window import Desk, running_desk


@pytest.fixture(scope="session")
def desk_windows(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    with running_desk(tmp_path_factory.mktemp("desk") / "tunes") as address:
        windows = Desk(browser, address)
        yield windows
        windows.close()


@pytest.fixture
def desk(desk_windows: Desk) -> Iterator[Desk]:
    yield desk_windows
    desk_windows.tidy()
