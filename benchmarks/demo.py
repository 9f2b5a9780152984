"""The demo from cold start to finished folder, and the peak memory of each run.

Each row is a process of its own: the first after the compiled voice was thrown away, the second with it.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from rich.console import Console
from rich.table import Table


def run(folder: Path, cache: Path) -> tuple[float, float]:
    """Seconds on the clock and peak MiB of one ``solowright demo``."""
    start = time.perf_counter()
    child = subprocess.Popen(
        [sys.executable, "-m", "solowright", "demo", "-o", str(folder)],
        env={**os.environ, "NUMBA_CACHE_DIR": str(cache)},
        stdout=subprocess.DEVNULL,
    )
    _, status, usage = os.wait4(child.pid, 0)
    if status:
        sys.exit("the demo failed")
    return time.perf_counter() - start, usage.ru_maxrss / 1024


def main() -> None:
    table = Table(title="demo: cold start to finished folder")
    for column in ("run", "seconds", "peak MiB", "folder MiB"):
        table.add_column(column, justify="left" if column == "run" else "right")
    with tempfile.TemporaryDirectory() as space:
        for name in ("nothing compiled yet", "voice compiled"):
            folder = Path(space) / "out"
            seconds, peak = run(folder, Path(space) / "cache")
            size = sum(path.stat().st_size for path in folder.rglob("*") if path.is_file()) / 2**20
            table.add_row(name, f"{seconds:.1f}", f"{peak:.0f}", f"{size:.1f}")
    Console().print(table)


if __name__ == "__main__":
    main()
