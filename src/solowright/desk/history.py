"""The whole history of every tune in a folder: each edit, kept for undo across restarts.

SQLite in WAL mode with synchronous=FULL: an edit is on disk when ``add`` returns. A state is kept as the
edit that led to it; its sheet is filled in a moment later (``keep_sheet``), so that an edit answers
quickly, and a state without a sheet is found again from the last one that has it.

``revision`` counts every change of a tune, undo and redo too: a window that holds an older one is told.
"""

from __future__ import annotations

import json
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from time import time
from typing import Any

from solowright.errors import InputError

Json = dict[str, Any]

_TABLES = """
create table if not exists tune (
  name text primary key,
  revision integer not null,
  state integer not null,      -- the one on the desk
  seen text not null,          -- digest of the file as it was last read or written
  wrote text not null          -- digest of what was last sent to be written
);
create table if not exists state (
  id integer primary key autoincrement,
  name text not null,
  before integer,              -- the state that the edit was made on
  edit text,
  sheet blob,
  rest text,
  made real not null
);
create table if not exists card (digest text primary key, facts text not null);
create index if not exists state_by_name on state (name, id);
"""


class StaleError(Exception):
    """Another window was there first: the revision is not the current one."""


@dataclass(frozen=True, slots=True)
class Head:
    """Where a tune stands. ``undo`` and ``redo`` are the states before and after, None where there is
    none."""

    name: str
    revision: int
    state: int
    undo: int | None
    redo: int | None
    seen: str
    wrote: str


@dataclass(frozen=True, slots=True)
class Kept:
    """A state as it is kept: its edit on the state ``before``, and its sheet where that is filled in."""

    id: int
    before: int | None
    edit: Json | None
    sheet: bytes | None
    rest: Json | None


class History:
    """The histories in one database file, which is made where it is missing."""

    def __init__(self, path: Path) -> None:
        self._lock = threading.RLock()
        try:
            self._base = sqlite3.connect(path, timeout=10.0, isolation_level=None, check_same_thread=False)
            self._base.execute("pragma journal_mode=wal")
            self._base.execute("pragma synchronous=full")
            self._base.executescript(_TABLES)
        except sqlite3.Error as error:
            raise InputError(
                f"{path}: the history can't be opened ({error}); move this file away to begin a new one"
            ) from None

    def close(self) -> None:
        """Ends the work with the file."""
        with self._lock:
            self._base.close()

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        """A transaction: all of it or nothing, on disk at its end."""
        with self._lock:
            self._base.execute("begin immediate")
            try:
                yield self._base
            except BaseException:
                self._base.execute("rollback")
                raise
            self._base.execute("commit")

    def head(self, name: str) -> Head | None:
        """Where a tune stands; None for one without a history."""
        with self._lock:
            row = self._base.execute(
                "select revision, state, seen, wrote from tune where name = ?", (name,)
            ).fetchone()
            if row is None:
                return None
            revision, state, seen, wrote = row
            (undo,) = self._base.execute("select before from state where id = ?", (state,)).fetchone()
            (redo,) = self._base.execute(
                "select max(id) from state where name = ? and before = ?", (name, state)
            ).fetchone()
            return Head(name, revision, state, undo, redo, seen, wrote)

    def state(self, state: int) -> Kept:
        """A state as it is kept."""
        with self._lock:
            row = self._base.execute(
                "select id, before, edit, sheet, rest from state where id = ?", (state,)
            ).fetchone()
        number, before, edit, sheet, rest = row
        return Kept(number, before, _loads(edit), sheet, _loads(rest))

    def begin(
        self, name: str, sheet: bytes, rest: Json | None, digest: str, edit: Json | None = None
    ) -> Head:
        """Begins a history, or goes on with one, from a file as it was read. Nothing that was is lost:
        the state before stays before it."""
        with self._writing() as base:
            before = base.execute("select state, revision from tune where name = ?", (name,)).fetchone()
            cursor = base.execute(
                "insert into state (name, before, edit, sheet, rest, made) values (?, ?, ?, ?, ?, ?)",
                (name, before[0] if before else None, _dumps(edit), sheet, _dumps(rest), time()),
            )
            base.execute(
                "insert or replace into tune (name, revision, state, seen, wrote) values (?, ?, ?, ?, ?)",
                (name, before[1] + 1 if before else 1, cursor.lastrowid, digest, digest),
            )
        return self._head(name)

    def add(self, name: str, revision: int, edit: Json) -> Head:
        """Makes an edit the tune's new state. Raises StaleError where ``revision`` isn't the current one."""
        with self._writing() as base:
            state = self._current(name, revision)
            cursor = base.execute(
                "insert into state (name, before, edit, made) values (?, ?, ?, ?)",
                (name, state, _dumps(edit), time()),
            )
            base.execute(
                "update tune set revision = revision + 1, state = ? where name = ?", (cursor.lastrowid, name)
            )
        return self._head(name)

    def move(self, name: str, revision: int, state: int) -> Head:
        """Goes to another state of the tune's, for undo and redo. Raises StaleError as ``add`` does."""
        with self._writing() as base:
            self._current(name, revision)
            base.execute("update tune set revision = revision + 1, state = ? where name = ?", (state, name))
        return self._head(name)

    def keep_sheet(self, state: int, sheet: bytes, rest: Json) -> None:
        """Fills in what a state's file holds."""
        with self._writing() as base:
            base.execute("update state set sheet = ?, rest = ? where id = ?", (sheet, _dumps(rest), state))

    def will_write(self, name: str, digest: str) -> None:
        """Notes, before a file is written, what it will be."""
        with self._writing() as base:
            base.execute("update tune set wrote = ? where name = ?", (digest, name))

    def has_written(self, name: str, digest: str) -> None:
        """Notes what the file is now."""
        with self._writing() as base:
            base.execute("update tune set seen = ?, wrote = ? where name = ?", (digest, digest, name))

    def card(self, digest: str) -> Json | None:
        """What was kept of a file for the list of tunes."""
        with self._lock:
            row = self._base.execute("select facts from card where digest = ?", (digest,)).fetchone()
        return _loads(row[0]) if row else None

    def keep_card(self, digest: str, facts: Json) -> None:
        """Keeps what the list of tunes shows of a file."""
        with self._writing() as base:
            base.execute("insert or replace into card (digest, facts) values (?, ?)", (digest, _dumps(facts)))

    def _current(self, name: str, revision: int) -> int:
        row = self._base.execute("select revision, state from tune where name = ?", (name,)).fetchone()
        if row is None or row[0] != revision:
            raise StaleError
        return int(row[1])

    def _head(self, name: str) -> Head:
        head = self.head(name)
        assert head is not None
        return head


def _dumps(value: Json | None) -> str | None:
    return None if value is None else json.dumps(value, ensure_ascii=False)


def _loads(text: str | None) -> Json | None:
    return None if text is None else json.loads(text)
