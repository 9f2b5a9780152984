"""A progress bar over named steps on a terminal; nothing in a pipe."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def progress(*steps: str) -> Iterator[Callable[[], None]]:
    """Shows ``steps`` one after the other. Yields the function to call when one is done."""
    if not sys.stderr.isatty():
        yield lambda: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (TextColumn("{task.description:<22}"), BarColumn(), TimeElapsedColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(steps[0], total=len(steps))
        done = 0

        def next_step() -> None:
            nonlocal done
            done += 1
            bar.update(task, completed=done, description=steps[min(done, len(steps) - 1)])

        yield next_step
