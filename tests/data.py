"""Where the open data for checks lies: ``../shared/data`` or the folder in ``SOLOWRIGHT_DATA``."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

ROOT = Path(os.environ.get("SOLOWRIGHT_DATA", Path(__file__).parents[2] / "shared" / "data"))


def data_folder(name: str) -> Path:
    """The folder of one data set; skips the test, with the reason, where it is absent."""
    folder = ROOT / name
    if not folder.is_dir():
        pytest.skip(f"open data '{name}' is not at ../shared/data nor in SOLOWRIGHT_DATA")
    return folder
