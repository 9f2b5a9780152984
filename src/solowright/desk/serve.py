"""Starts the desk: one process, one folder, this machine only."""

from __future__ import annotations

import gc
import secrets
import signal
import socket
import sys
import threading
import webbrowser
from collections.abc import Callable
from pathlib import Path
from urllib.parse import quote

import uvicorn

from solowright.desk.app import make_app
from solowright.desk.desk import Desk, open_desk
from solowright.errors import InputError

HOST = "127.0.0.1"
PORT = 8437  # any free one; kept, so that a bookmark's host stays the same
SLOW = 20  # seconds in which a request must have come in whole


def serve(
    folder: Path,
    port: int | None = None,
    *,
    tune: str | None = None,
    browser: bool = True,
    tell: Callable[[str], None] = print,
) -> None:
    """Serves the tunes of ``folder`` until it is stopped, and opens a window on them, on ``tune`` where
    one is named.

    ``tell`` is called once with the address to open. ``port`` None is the usual one, or any other that
    is free. Raises InputError where the folder or the port can't be used.
    """
    listening = _listen(port)
    desk = open_desk(folder)
    token = secrets.token_urlsafe(32)
    bound = listening.getsockname()[1]
    address = f"http://{HOST}:{bound}/?token={token}" + (f"#/tune/{quote(tune)}" if tune else "")
    app = make_app(desk, token, bound)
    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,  # addresses hold the token
        server_header=False,
        timeout_keep_alive=SLOW,
        timeout_graceful_shutdown=5,
        limit_concurrency=200,
        h11_max_incomplete_event_size=64_000,
    )
    server = _Server(config, desk)
    if threading.current_thread() is threading.main_thread():
        # uvicorn ends in peace and then raises the signal again, which by itself would skip what is below
        signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))
    threading.Thread(target=warm_up, name="warm up", daemon=True).start()
    tell(address)
    if browser:
        threading.Timer(0.3, webbrowser.open, (address,)).start()
    try:
        server.run(sockets=[listening])
    finally:
        desk.close()


class _Server(uvicorn.Server):
    """Breaks the work off and ends the news before it waits for the last answers, so that no sound and no
    open window holds up the end."""

    def __init__(self, config: uvicorn.Config, desk: Desk) -> None:
        super().__init__(config)
        self._desk = desk

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        self._desk.channels.close()
        self._desk.break_off()
        await super().shutdown(sockets)


def warm_up() -> None:
    """Loads what the first view needs while the browser is still opening."""
    from solowright.desk.state import State
    from solowright.desk.worked import find_arc, show
    from solowright.music.chart import Bar, Chart, Section
    from solowright.music.line import Note, make_line
    from solowright.music.pitch import plain
    from solowright.music.time import QUARTER, ZERO
    from solowright.music.tune import Tune
    from solowright.page.engrave import WIDTH

    note = Note(plain(64), ZERO, QUARTER)
    state = State(Tune("", Chart((Section("", (Bar(),)),)), make_line([note])))
    show(state, WIDTH)
    find_arc(state)
    gc.freeze()  # what is loaded now stays, and need not be looked through again
    gc.disable()  # a pause in the midst of an edit would be felt: see desk.Desk.tidy


def _listen(port: int | None) -> socket.socket:
    """A socket on the loopback address."""
    wishes = [port] if port is not None else [PORT, 0]
    for wish in wishes:
        listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((HOST, wish))
            listening.listen()  # whoever opens the address early waits instead of being refused
        except OSError:
            listening.close()
            continue
        return listening
    raise InputError(f"port {port} is taken; choose another with --port, or leave it out")
