"""The rendered stems of a folder: found, made, prepared behind the player's back, and kept in bounds."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from time import time

from solowright.desk.backroom import BackRoom
from solowright.desk.stems import SUFFIX, Stem, stem_keys, write_stem
from solowright.music.tune import Tune

LONGEST_PLAYED = 3600.0  # seconds that a stem is played for, at the very most
MOST_BYTES = 400_000_000  # on disk; the longest unheard go first


class Sounds:
    """Stems as files in ``folder``, played in the back room."""

    def __init__(self, folder: Path, room: BackRoom) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        for draft in folder.glob(".*.draft"):
            with suppress(OSError):
                if time() - draft.stat().st_mtime > LONGEST_PLAYED:  # another desk may be playing it
                    draft.unlink()
        self._folder, self._room = folder, room

    def file(self, stem: Stem) -> Future[Path]:
        """The file of a stem, now or when it is played. Fails with InputError for what can't be played."""
        stem = replace(stem, tune=replace(stem.tune))  # without what it has worked out for itself
        key = stem.key()
        path = self._path(key)
        if path.exists():
            found: Future[Path] = Future()
            with suppress(OSError):
                path.touch()
            found.set_result(path)
            return found
        return self._then(self._room.do(f"stem {key}", write_stem, stem, path), path)

    def prepare(self, tune: Tune, ready: Callable[[str, str], None]) -> None:
        """Has the stems of a tune played at its own tempo when there is nothing else to do, in place of
        those of an earlier state. ``ready`` is told each one's name and key."""
        keys = stem_keys(tune)
        wanted = {f"stem {key}" for key in keys.values()}
        self._room.forget(lambda name: not name.startswith("stem ") or name in wanted)
        tune = replace(tune)
        for name, key in keys.items():
            path = self._path(key)
            if not path.exists():
                work = self._room.prepare(f"stem {key}", write_stem, Stem(tune, name), path)
                self._then(work, path).add_done_callback(_tell(ready, name, key))

    def _path(self, key: str) -> Path:
        return self._folder / f"{key}{SUFFIX}"

    def _then(self, work: Future[None], path: Path) -> Future[Path]:
        found: Future[Path] = Future()

        def pass_on(done: Future[None]) -> None:
            if done.cancelled():
                found.cancel()
            elif not found.set_running_or_notify_cancel():
                return  # nobody waits for it any more
            elif fault := done.exception():
                found.set_exception(fault)
            else:
                self._prune(path)
                found.set_result(path)

        work.add_done_callback(pass_on)
        return found

    def _prune(self, kept: Path) -> None:
        files = [(path.stat(), path) for path in self._folder.glob(f"*{SUFFIX}")]
        room = MOST_BYTES
        for stat, path in sorted(files, key=lambda file: -file[0].st_mtime):
            room -= stat.st_size
            if room < 0 and path != kept:
                path.unlink(missing_ok=True)


def _tell(ready: Callable[[str, str], None], name: str, key: str) -> Callable[[Future[Path]], None]:
    def done(made: Future[Path]) -> None:
        if not made.cancelled() and made.exception() is None:
            ready(name, key)

    return done
