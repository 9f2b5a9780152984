"""Exports under way: asked for, followed, fetched. Their files live in our subfolder and are few."""

from __future__ import annotations

import secrets
import shutil
import threading
from collections import OrderedDict
from concurrent.futures import Future
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from time import time

from solowright.desk.backroom import BackRoom
from solowright.desk.channels import Channels
from solowright.desk.exports import choose_export, make_export
from solowright.desk.folder import MissingError
from solowright.desk.state import Json
from solowright.errors import InputError
from solowright.neck.player import Player
from solowright.work import Worked

KEPT = 20  # finished exports
LONGEST_KEPT = 24 * 3600.0  # seconds that those of an earlier run are left


@dataclass(slots=True)
class Job:
    """An export: its file, and the last that was told of it."""

    path: Path
    news: Json


class Jobs:
    """The exports of one desk."""

    def __init__(self, folder: Path, room: BackRoom, channels: Channels) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        for old in folder.iterdir():
            with suppress(OSError):
                if time() - old.stat().st_mtime > LONGEST_KEPT:  # another desk may be at work beside us
                    shutil.rmtree(old)
        self._folder, self._room, self._channels = folder, room, channels
        self._jobs: OrderedDict[str, Job] = OrderedDict()
        self._lock = threading.Lock()

    def start(self, name: str, kind: object, worked: Worked, player: Player) -> str:
        """Begins an export of the tune called ``name`` and tells its identifier. Raises InputError."""
        export = choose_export(kind)
        job = secrets.token_urlsafe(12)
        path = self._folder / job / f"{name}{export.suffix}"
        path.parent.mkdir()
        with self._lock:
            self._jobs[job] = Job(path, {"share": 0.0, "step": "waiting"})
            while len(self._jobs) > KEPT:
                _, old = self._jobs.popitem(last=False)
                shutil.rmtree(old.path.parent, ignore_errors=True)
        work = self._room.do(f"job {job}", make_export, export.kind, worked, player, path, job)
        work.add_done_callback(lambda done: self._finish(job, done))
        return job

    def hear(self, job: str, share: float, step: str) -> None:
        """Takes in progress from the back room."""
        self._tell(job, {"share": share, "step": step})

    def _finish(self, job: str, done: Future[None]) -> None:
        fault = None if done.cancelled() else done.exception()
        if done.cancelled():
            self._tell(job, {"error": "the desk was closed before this was made"})
        elif isinstance(fault, InputError):
            self._tell(job, {"error": str(fault)})
        elif fault is not None:
            self._tell(job, {"error": f"a fault of ours ({type(fault).__name__}); please report it"})
        else:
            self._tell(job, {"done": True, "share": 1.0})

    def _tell(self, job: str, news: Json) -> None:
        with self._lock:
            if job not in self._jobs or "done" in self._jobs[job].news or "error" in self._jobs[job].news:
                return
            self._jobs[job].news = news
        self._channels.publish(f"job {job}", news)

    def news(self, job: str) -> Json:
        """The last that was told of a job. Raises MissingError."""
        return self._find(job).news

    def file(self, job: str) -> Path:
        """The finished file. Raises MissingError where there is none (yet)."""
        found = self._find(job)
        if "done" not in found.news:
            raise MissingError("this isn't ready yet")
        return found.path

    def _find(self, job: str) -> Job:
        with self._lock:
            if job not in self._jobs:
                raise MissingError("this was made too long ago; make it again")
            return self._jobs[job]
