"""The shared modules as text: their types hold, and they stand on their own."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

from tests.node import node_module
from tests.web.conftest import STATIC

IMPORT = re.compile(r"^import (?:\{[^}]*\} from )?\"([^\"]+)\";$")

RUNS = re.compile(r"\beval\(|new Function|innerHTML|outerHTML|insertAdjacentHTML|document\.write")


def test_types_hold() -> None:
    compiler = node_module("typescript") / "bin" / "tsc"
    config = Path(__file__).parent / "tsconfig.json"
    done = subprocess.run(["node", compiler, "-p", config], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout


def test_imports_are_one_line_each_and_stay_in_the_folder() -> None:
    """So that the students' page can carry the modules inside itself."""
    for path in STATIC.glob("*.js"):
        for line in path.read_text("utf-8").splitlines():
            if line.startswith(("import ", "} from ")):
                found = IMPORT.match(line)
                assert found and found[1].startswith("./"), f"{path.name}: {line}"
                assert (STATIC / found[1]).is_file()


def test_nothing_comes_from_elsewhere_or_runs_as_text() -> None:
    for path in STATIC.iterdir():
        text = path.read_text("utf-8")
        links = set(re.findall(r"https?://[^\"'\s)]+", text))
        assert links <= {"http://www.w3.org/2000/svg"}, path.name
        assert not RUNS.search(text), path.name
