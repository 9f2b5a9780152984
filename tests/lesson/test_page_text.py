"""The students' page: its module's types hold."""

from __future__ import annotations

import subprocess
from pathlib import Path

from tests.node import node_module


def test_types_hold() -> None:
    compiler = node_module("typescript") / "bin" / "tsc"
    config = Path(__file__).parent / "tsconfig.json"
    done = subprocess.run(["node", compiler, "-p", config], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout
