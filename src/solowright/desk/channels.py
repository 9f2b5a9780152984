"""News for open windows: server-sent events, published from any thread."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Callable
from typing import Any

BEAT = 15.0  # seconds between signs of life, which also find windows that are gone
MOST_WAITING = 200  # events a window may lag behind; then the oldest are dropped


class Channels:
    """Who listens to what, by name."""

    def __init__(self) -> None:
        self._listening: dict[str, set[asyncio.Queue[str | None]]] = {}
        self._loop: asyncio.AbstractEventLoop | None = None

    def publish(self, name: str, what: dict[str, Any]) -> None:
        """Tells all who listen to ``name``, from any thread."""
        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self._deliver, name, json.dumps(what, ensure_ascii=False))

    def close(self) -> None:
        """Ends what everybody listens to. Called where the listening goes on."""
        for queue in [queue for queues in self._listening.values() for queue in queues]:
            if queue.full():
                queue.get_nowait()
            queue.put_nowait(None)

    def _deliver(self, name: str, text: str) -> None:
        for queue in self._listening.get(name, ()):
            if queue.full():
                queue.get_nowait()
            queue.put_nowait(text)

    async def listen(
        self, name: str, first: Callable[[], dict[str, Any]] | None = None
    ) -> AsyncIterator[str]:
        """The events of ``name`` from now on, as they go over the wire. ``first`` gives one to begin with;
        it is asked when nothing can be missed any more."""
        self._loop = asyncio.get_running_loop()
        queue: asyncio.Queue[str | None] = asyncio.Queue(MOST_WAITING)
        self._listening.setdefault(name, set()).add(queue)
        try:
            yield f"data: {json.dumps(first(), ensure_ascii=False)}\n\n" if first else ": here\n\n"
            while True:
                try:
                    text = await asyncio.wait_for(queue.get(), BEAT)
                except TimeoutError:
                    yield ": beat\n\n"
                    continue
                if text is None:
                    return
                yield f"data: {text}\n\n"
        finally:
            self._listening[name].discard(queue)
            if not self._listening[name]:
                del self._listening[name]
