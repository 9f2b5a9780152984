"""One running desk for all tests of the window; a new window for each."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser

from tests.desk.window import Desk, running_desk


@pytest.fixture(scope="session")
def desk_address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with running_desk(tmp_path_factory.mktemp("desk") / "tunes") as address:
        yield address


@pytest.fixture
def desk(browser: Browser, desk_address: str) -> Iterator[Desk]:
    opened = Desk(browser, desk_address)
    yield opened
    opened.close()
    assert not opened.faults
