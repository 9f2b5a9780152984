"""The back room: one process that plays and prints while the desk answers.

Work is done one piece at a time, what somebody waits for first. A piece that is only prepared gives way
to a newer one for the same purpose. The process starts when it is needed, gives memory back after each
piece, ends after a while without work or with the desk, and starts again if it dies.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import CancelledError, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from solowright.desk.thrift import give_back
from solowright.errors import InputError

_NICE = 5  # the desk and the browser come first
IDLE = 30.0  # seconds without work after which the process ends
BROKEN_OFF = "the work was broken off; try again"
_MOST_TASKS = 200  # then the process is replaced, so that it can't grow
_MOST_MEMORY = 100_000_000  # bytes of its own that it may keep after a piece; else it is replaced at once
_news: Any = None  # in the back room: where progress is told


def tell_progress(job: str, share: float, step: str) -> None:
    """Says from the back room how far a job is."""
    if _news is not None:
        _news.put((job, share, step))


def _begin(news: Any) -> None:
    global _news
    _news = news
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the desk's; it ends this process, too
    with suppress(OSError, AttributeError):
        os.nice(_NICE)
    threading.Thread(target=_end_with_desk, name="end with the desk", daemon=True).start()


def _end_with_desk() -> None:
    """A desk that was killed can't end its back rooms any more."""
    desk = multiprocessing.parent_process()
    if desk is not None:
        desk.join()
        os._exit(1)


def _do_here(work: Callable[..., Any], *args: Any) -> tuple[Any, int]:
    """A piece of work in the back room, and the bytes that the process keeps after it."""
    try:
        done = work(*args)
    finally:
        give_back()
    return done, _own_memory()


def _own_memory() -> int:
    """Bytes that this process shares with no file; 0 where the system doesn't say."""
    try:
        lines = Path("/proc/self/status").read_text().splitlines()
    except OSError:
        return 0
    return next((1024 * int(line.split()[1]) for line in lines if line.startswith("RssAnon:")), 0)


@dataclass(slots=True)
class _Piece:
    work: Callable[..., Any]
    args: tuple[Any, ...]
    future: Future[Any] = field(default_factory=Future)


class BackRoom:
    """``hear`` is called with (job, share, step) as work goes on, from a thread of ours; after ``idle``
    seconds without work the process ends."""

    def __init__(
        self, hear: Callable[[str, float, str], None] = lambda *_: None, idle: float = IDLE
    ) -> None:
        self._hear, self._idle = hear, idle
        self._context = multiprocessing.get_context("spawn")
        self._news = self._context.SimpleQueue()
        self._pool: ProcessPoolExecutor | None = None
        self._waiting: OrderedDict[str, _Piece] = OrderedDict()
        self._prepared: OrderedDict[str, _Piece] = OrderedDict()
        self._change = threading.Condition()
        self._closed = False
        self._done = 0  # pieces, since the process began
        self._process = 0  # its number
        self._threads = [
            threading.Thread(target=target, name=name, daemon=True)
            for target, name in ((self._run, "back room"), (self._listen, "back room news"))
        ]
        for thread in self._threads:
            thread.start()

    def do(self, name: str, work: Callable[..., Any], *args: Any) -> Future[Any]:
        """Has ``work`` done as soon as can be; work of the same name that waits already is shared."""
        with self._change:
            piece = self._waiting.get(name) or self._prepared.pop(name, None) or _Piece(work, args)
            self._waiting[name] = piece
            self._change.notify_all()
            return piece.future

    def prepare(self, name: str, work: Callable[..., Any], *args: Any) -> Future[Any]:
        """Has ``work`` done when nobody waits for anything."""
        with self._change:
            piece = self._waiting.get(name) or self._prepared.get(name) or _Piece(work, args)
            if name not in self._waiting:
                self._prepared[name] = piece
            self._change.notify_all()
            return piece.future

    def forget(self, wanted: Callable[[str], bool]) -> None:
        """Drops prepared work whose name isn't ``wanted`` any more."""
        with self._change:
            for name in [name for name in self._prepared if not wanted(name)]:
                self._prepared.pop(name).future.cancel()

    def close(self) -> None:
        """Ends the process; what waits is not done. Closing again does nothing."""
        with self._change:
            if self._closed:
                return
            self._closed = True
            for piece in (*self._waiting.values(), *self._prepared.values()):
                piece.future.cancel()
            self._waiting.clear()
            self._prepared.clear()
            self._change.notify_all()
        if self._pool is not None:
            if self._process:
                with suppress(OSError):
                    os.kill(self._process, signal.SIGTERM)
            self._pool.shutdown(wait=False, cancel_futures=True)
        self._news.put(None)

    def _next(self) -> _Piece | None:
        def something() -> bool:
            return bool(self._closed or self._waiting or self._prepared)

        with self._change:
            while not self._change.wait_for(something, self._idle if self._pool else None):
                self._end_pool()
            if self._closed:
                return None
            return (self._waiting or self._prepared).popitem(last=False)[1]

    def _run(self) -> None:
        while (piece := self._next()) is not None:
            if not piece.future.set_running_or_notify_cancel():
                continue
            try:
                piece.future.set_result(self._do(piece))
            except BaseException as fault:  # told to whoever waits
                piece.future.set_exception(fault)

    def _do(self, piece: _Piece) -> Any:
        if self._done == _MOST_TASKS:
            self._end_pool()
        try:
            if self._pool is None:
                self._start_pool()
            assert self._pool is not None
            begun = self._pool.submit(_do_here, piece.work, *piece.args)
        except RuntimeError:  # the process died, or the room was closed meanwhile
            self._pool = None
            raise InputError(BROKEN_OFF) from None
        self._done += 1
        try:
            done, memory = begun.result()
        except (BrokenProcessPool, CancelledError):
            self._pool = None
            raise InputError(BROKEN_OFF) from None
        if memory > _MOST_MEMORY:
            self._end_pool()
        return done

    def _end_pool(self) -> None:
        if self._pool is not None:
            self._pool.shutdown()
        self._pool, self._done = None, 0

    def _start_pool(self) -> None:
        self._pool = ProcessPoolExecutor(1, self._context, _begin, (self._news,))
        self._process = self._pool.submit(os.getpid).result()
        self._done = 0

    def _listen(self) -> None:
        while (news := self._news.get()) is not None:
            self._hear(*news)
