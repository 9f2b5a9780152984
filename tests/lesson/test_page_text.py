"""The students' page as text: its module's types hold, and every module it needs travels with it."""

from __future__ import annotations

import json
import re
import subprocess
from base64 import b64decode
from pathlib import Path

from tests.node import node_module

STATIC = Path(__file__).parents[2] / "src" / "solowright"


def test_types_hold() -> None:
    compiler = node_module("typescript") / "bin" / "tsc"
    config = Path(__file__).parent / "tsconfig.json"
    done = subprocess.run(["node", compiler, "-p", config], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout


def test_every_module_that_is_imported_is_in_the_map(pack: Path) -> None:
    text = (pack / "lesson.html").read_text("utf-8")
    found = re.search(r'<script type="importmap">(.*?)</script>', text)
    assert found
    modules = json.loads(found[1])["imports"]
    for name, address in modules.items():
        module = b64decode(address.partition(",")[2]).decode()
        for line in module.splitlines():
            if line.startswith(("import ", "export {", "} from ")) and '"' in line:
                asked = line.split('"')[1]
                assert asked in modules, f"{name}: {line}"
    shared = {path.stem for path in (STATIC / "web" / "static").glob("*.js")} - {"types"}
    assert {f"solowright/{stem}.js" for stem in shared} <= set(modules)
