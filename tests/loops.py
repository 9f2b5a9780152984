"""Coroutines in tests: a browser under test keeps an event loop of its own in this process's main thread."""

from __future__ import annotations

import asyncio
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

T = TypeVar("T")


def run_apart(work: Coroutine[Any, Any, T]) -> T:
    """What a coroutine gives, run in an event loop of its own in another thread."""
    with ThreadPoolExecutor(1) as threads:
        return threads.submit(asyncio.run, work).result()
