"""The two npm packages that checks of our browser code use (types, accessibility), pinned in tests/desk."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

FOLDER = Path(__file__).parent / "desk"


def node_module(name: str) -> Path:
    """The folder of a package, installed at need; skips the test, with the reason, where that can't be."""
    folder = FOLDER / "node_modules" / name
    if not folder.is_dir():
        if not shutil.which("npm"):
            pytest.skip("no npm: install Node.js to check the browser code")
        done = subprocess.run(
            ["npm", "ci", "--no-audit", "--no-fund"], cwd=FOLDER, capture_output=True, text=True, check=False
        )
        if done.returncode:
            pytest.skip(f"npm could not install {name}: {done.stderr.strip()[-200:]}")
    return folder
