"""The practice log: every try, kept from the moment it is written (SQLite).

Only tries are stored; standings are worked out from them, so nothing can disagree. Each try is a
transaction of its own, synced to the disk: a crash at any moment loses nothing that was answered.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from solowright.errors import InputError
from solowright.practice.ladder import Kind, Try

_LAYOUT = 1
_TABLE = """
CREATE TABLE tries (
    id INTEGER PRIMARY KEY,
    at TEXT NOT NULL,
    tune TEXT NOT NULL,
    loop TEXT NOT NULL,
    kind TEXT NOT NULL CHECK (kind IN ('loop', 'burst')),
    tempo REAL NOT NULL CHECK (tempo > 0),
    clean INTEGER NOT NULL CHECK (clean IN (0, 1))
) STRICT;
CREATE INDEX tries_of_loop ON tries (tune, loop, id);
"""


@dataclass(frozen=True, slots=True)
class Entry:
    """A try as logged: the moment (local time), the tune, the loop by its name, the try."""

    at: datetime
    tune: str
    loop: str
    made: Try


def write_try(path: Path, entry: Entry) -> None:
    """Adds a try. When this returns it is on the disk. Raises InputError where the log can't be used."""
    with _opened(path) as log:
        log.execute(
            "INSERT INTO tries (at, tune, loop, kind, tempo, clean) VALUES (?, ?, ?, ?, ?, ?)",
            (
                entry.at.isoformat(timespec="seconds"),
                entry.tune,
                entry.loop,
                entry.made.kind,
                entry.made.tempo,
                int(entry.made.clean),
            ),
        )


def read_tries(path: Path, tune: str, loop: str | None = None) -> tuple[Entry, ...]:
    """The tries of a tune, or of one loop in it, in the order they were written. None where no log is.

    Raises InputError where the file is not a log.
    """
    if not path.exists():
        return ()
    with _opened(path) as log:
        rows = log.execute(
            "SELECT at, loop, kind, tempo, clean FROM tries WHERE tune = ? AND (?2 IS NULL OR loop = ?2) "
            "ORDER BY id",
            (tune, loop),
        ).fetchall()
    return tuple(_entry(tune, *row) for row in rows)


def drop_last(path: Path, tune: str) -> bool:
    """Takes back the tune's latest try (a wrong key was hit). False where there is none."""
    with _opened(path) as log:
        found = log.execute(
            "DELETE FROM tries WHERE id = (SELECT max(id) FROM tries WHERE tune = ?)", (tune,)
        )
        return found.rowcount > 0


def _entry(tune: str, at: str, loop: str, kind: Kind, tempo: float, clean: int) -> Entry:
    moment = datetime.fromisoformat(at)
    return Entry(moment, tune, loop, Try(moment.date(), tempo, bool(clean), kind))


@contextmanager
def _opened(path: Path) -> Iterator[sqlite3.Connection]:
    """The log, made where it doesn't exist yet; what is done inside is one transaction."""
    try:
        log = sqlite3.connect(path, timeout=10.0, isolation_level=None)
    except sqlite3.Error as error:
        raise InputError(f"{path}: the log can't be opened ({error}); choose another place") from None
    try:
        log.execute("PRAGMA journal_mode = WAL")
        log.execute("PRAGMA synchronous = FULL")
        log.execute("BEGIN IMMEDIATE")
        (layout,) = log.execute("PRAGMA user_version").fetchone()
        if layout == 0:
            for statement in _TABLE.split(";")[:-1]:
                log.execute(statement)
            log.execute(f"PRAGMA user_version = {_LAYOUT}")
        elif layout != _LAYOUT:
            raise InputError(f"{path}: this log was written by a newer Solowright; update, or name another")
        yield log
        log.execute("COMMIT")
    except sqlite3.Error as error:
        raise InputError(f"{path}: the practice log can't be used ({error}); name another file") from None
    finally:
        log.close()
