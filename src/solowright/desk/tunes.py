"""The tunes on the desk: opened, edited, undone, and saved to their files.

An edit is saved when ``edit`` returns: it is in the history then. The file follows at once, written by a
thread of its own; whatever is interrupted there is made good when the tune is opened the next time. A
file that another program changed is never overwritten: it becomes a new state, and undo leads back.
"""

from __future__ import annotations

import json
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from queue import SimpleQueue

from solowright.desk.durable import write_durably
from solowright.desk.edits import apply_edit
from solowright.desk.folder import (
    OURS,
    SUFFIX,
    digest,
    free_name,
    list_names,
    prepare_folder,
    read_tune_file,
    tune_path,
)
from solowright.desk.history import Head, History, Kept, StaleError
from solowright.desk.profile import (
    Profile,
    change_profile,
    mark_of,
    player_of,
    read_profile,
    save_profile,
    see_profile,
)
from solowright.desk.state import Json, State, read_state, write_state
from solowright.desk.worked import follow, show, work_out
from solowright.errors import InputError
from solowright.files.load import load
from solowright.music.chart import Chart
from solowright.music.tune import Tune

MOST_STATES = 24  # states held in memory
OUTSIDE = "outside"  # the kind of the edit that another program made to the file
HAND = "hand"  # what an edit has beside its own facts: the profile that it was made with

STALE = "Another window has changed this tune meanwhile; its change is shown now, and yours was not made."
CHANGED = (
    "Another program has changed the file of this tune; what it holds now is shown, and your last change "
    "was not made. Undo brings your own version back."
)


class ConflictError(InputError):
    """Two hands on one tune: the edit is not made, and the current state is to be shown."""


@dataclass(frozen=True, slots=True)
class Opened:
    """A tune on the desk: where its history stands, and its state."""

    head: Head
    state: State


Heard = Callable[[str, Json], None]  # is told a tune's name and what happened to it


class Tunes:
    """The tunes of one folder. ``heard`` is told of every change, from any thread."""

    def __init__(self, folder: Path, heard: Heard = lambda name, what: None) -> None:
        self.folder = prepare_folder(folder)
        self.history = History(self.folder / OURS / "history.sqlite3")
        self.profile = read_profile(self.folder)
        self._heard = heard
        self._lock = threading.RLock()
        self._states: OrderedDict[int, State] = OrderedDict()
        self._to_save: SimpleQueue[str | None] = SimpleQueue()
        self._unsaved: dict[str, int] = {}  # how often each was asked for
        self._idle = threading.Condition()
        self._saver = threading.Thread(target=self._save_all, name="saver", daemon=True)
        self._saver.start()

    def close(self) -> None:
        """Writes what is still to be written, and ends."""
        self.wait_saved()
        self._to_save.put(None)
        self._saver.join()
        self.history.close()

    # --- opening ----------------------------------------------------------------------------------

    def open(self, name: str) -> Opened:
        """The tune as it stands. What another program wrote into its file is taken in as a new state.

        Raises MissingError, or InputError where the file can't be read.
        """
        with self._lock:
            self.see_profile()
            opened, seen = self._open(name)
            if self._behind(opened.head, seen):
                self._save_soon(name)  # an earlier run could not finish
            return opened

    def _open(self, name: str) -> tuple[Opened, str]:
        """The tune, and the digest of its file."""
        data = read_tune_file(self.folder, name)
        seen = digest(data)
        head = self.history.head(name)
        if head is None:
            rest = self._read_beside(name, seen)
            state = self._read(name, data, rest)
            head = self.history.begin(name, data, rest, seen)
            self._keep(head.state, state)
            return Opened(head, state), seen
        if seen in (head.seen, head.wrote):
            return Opened(head, self._state(name, head.state)), seen
        return self._take_in(name, data, seen), seen

    def _behind(self, head: Head, seen: str) -> bool:
        """Whether the file isn't yet what the tune is, fingered for whose hand it is."""
        kept = self.history.state(head.state)
        return self._is_old(kept) or kept.sheet is None or digest(kept.sheet) != seen

    def _is_old(self, kept: Kept) -> bool:
        """Whether a sheet must be written anew: there is none, or it was fingered for another hand."""
        if kept.rest is None:  # all of it is the player's own, or nothing is there
            return kept.sheet is None
        return bool(kept.rest.get("player", "") != mark_of(self.profile.player))

    def _take_in(self, name: str, data: bytes, seen: str) -> Opened:
        """Makes what another program wrote the tune's state."""
        state = self._read(name, data, None)
        head = self.history.begin(name, data, None, seen, {"kind": OUTSIDE})
        self._keep(head.state, state)
        self._heard(name, {"revision": head.revision, "outside": True})
        return Opened(head, state)

    def _read(self, name: str, data: bytes, rest: Json | None) -> State:
        def open_line(other: str, chart: Chart) -> Tune:
            # Only a file as it lies in the folder can name another; our own sheets hold their line.
            return load(tune_path(self.folder, name))

        state = read_state(data, rest, f"{name}{SUFFIX}", open_line)
        return replace(state, player=self.profile.player)

    def _state(self, name: str, number: int) -> State:
        """A state of the history: kept, read from its sheet, or found again by its edit."""
        if number in self._states:
            self._states.move_to_end(number)
            return self._states[number]
        kept = self.history.state(number)
        if kept.sheet is not None:
            state = self._read(name, kept.sheet, kept.rest)
        else:
            assert kept.before is not None and kept.edit is not None
            then = player_of(kept.edit.get(HAND, {}))
            before = replace(self._state(name, kept.before), player=then)
            state = apply_edit(before, kept.edit, work_out(before).tune)
            state = replace(state, player=self.profile.player)
        self._keep(number, state)
        return state

    def _keep(self, number: int, state: State) -> None:
        self._states[number] = state
        while len(self._states) > MOST_STATES:
            self._states.popitem(last=False)

    # --- changing ---------------------------------------------------------------------------------

    def edit(self, name: str, revision: int, edit: Json, width: float) -> Opened:
        """The tune with an edit made and saved. Nothing is changed where it can't be worked out.

        Raises ConflictError where the tune was changed elsewhere, InputError for an edit that can't be made.
        """
        with self._lock:
            opened = self._current(name, revision)
            state = apply_edit(opened.state, edit, work_out(opened.state).tune)
            if state == opened.state:
                return opened
            follow(opened.state, state)
            show(state, width)
            try:
                head = self.history.add(name, revision, {**edit, HAND: self.profile.said})
            except StaleError:
                raise ConflictError(STALE) from None
            return self._changed(head, state)

    def step(self, name: str, revision: int, back: bool) -> Opened:
        """The tune one step back or forth in its history. Raises as ``edit`` does."""
        with self._lock:
            opened = self._current(name, revision)
            goal = opened.head.undo if back else opened.head.redo
            if goal is None:
                raise InputError("there is nothing to undo" if back else "there is nothing to redo")
            state = self._state(name, goal)
            try:
                head = self.history.move(name, revision, goal)
            except StaleError:
                raise ConflictError(STALE) from None
            return self._changed(head, state)

    def _current(self, name: str, revision: int) -> Opened:
        known = self.history.head(name)
        opened, _ = self._open(name)
        if known and known.revision == revision != opened.head.revision:
            raise ConflictError(CHANGED)
        if opened.head.revision != revision:
            raise ConflictError(STALE)
        return opened

    def _changed(self, head: Head, state: State) -> Opened:
        self._keep(head.state, state)
        self._save_soon(head.name)
        self._heard(head.name, {"revision": head.revision})
        return Opened(head, state)

    def add(self, title: str, sheet: bytes) -> str:
        """Puts a new tune into the folder and tells its name. Raises InputError for a sheet that can't
        be read."""
        with self._lock:
            name = free_name(self.folder, title)
            read_state(sheet, None, f"{name}{SUFFIX}")
            write_durably(self.folder / f"{name}{SUFFIX}", sheet)
            return name

    # --- whose hand it is -------------------------------------------------------------------------

    def change_player(self, wishes: Json, name: str | None = None) -> Profile:
        """Puts ``wishes`` into the player's file; every tune is fingered for that hand from now on.

        Raises InputError for wrong values, and where the tune ``name`` can't be played so; nothing is
        changed then.
        """
        with self._lock:
            profile = change_profile(self.profile, wishes)
            if name is not None:
                try:
                    work_out(replace(self._open(name)[0].state, player=profile.player))
                except InputError as error:
                    raise InputError(f"this tune couldn't be played then: {error}") from None
            return self._play_for(save_profile(self.folder, profile))

    def see_profile(self) -> Profile:
        """The profile as it stands, read again where another program has changed its file."""
        with self._lock:
            if see_profile(self.folder) != self.profile.seen:
                self._play_for(read_profile(self.folder))
            return self.profile

    def _play_for(self, profile: Profile) -> Profile:
        same = profile.player == self.profile.player
        self.profile = profile
        if not same:
            for number, state in self._states.items():
                self._states[number] = replace(state, player=profile.player)
            for name in list_names(self.folder):
                self._heard(name, {"player": True})
        return profile

    # --- saving -----------------------------------------------------------------------------------

    def wait_saved(self) -> None:
        """Waits until every file holds what its tune is."""
        with self._idle:
            self._idle.wait_for(lambda: not self._unsaved)

    def _save_soon(self, name: str) -> None:
        with self._idle:
            self._unsaved[name] = self._unsaved.get(name, 0) + 1
        self._to_save.put(name)

    def _save_all(self) -> None:
        while (name := self._to_save.get()) is not None:
            wanted = self._unsaved.get(name)
            if wanted is None:  # saved already with an earlier wish
                continue
            try:
                self._save(name)
            except (InputError, OSError) as error:
                self._heard(name, {"trouble": str(error)})
            with self._idle:
                if self._unsaved.pop(name) > wanted:  # changed meanwhile: it stands in the queue again
                    self._unsaved[name] = 1
                self._idle.notify_all()

    def _save(self, name: str) -> None:
        """Fills in the state's sheet, and writes the file unless another program has changed it."""
        with self._lock:
            opened, seen = self._open(name)
        if not self._behind(opened.head, seen):
            return
        kept = self.history.state(opened.head.state)
        if self._is_old(kept):
            sheet, rest = write_state(opened.state, work_out(opened.state).tune)
            rest["player"] = mark_of(opened.state.player)
            self.history.keep_sheet(opened.head.state, sheet, rest)
            kept = replace(kept, sheet=sheet, rest=rest)
        assert kept.sheet is not None
        with self._lock:
            now_open = self._open(name)[0]
            if now_open.head != opened.head or now_open.state.player != opened.state.player:
                self._save_soon(name)
                return
            now = digest(kept.sheet)
            self.history.will_write(name, now)
            write_durably(self._beside(name), json.dumps({"sheet": now, "rest": kept.rest}).encode())
            write_durably(tune_path(self.folder, name), kept.sheet)
            self.history.has_written(name, now)

    def _beside(self, name: str) -> Path:
        return self.folder / OURS / f"{name}.json"

    def _read_beside(self, name: str, seen: str) -> Json | None:
        """What is kept beside a sheet, if it is of just this sheet."""
        try:
            beside = json.loads(self._beside(name).read_bytes())
            return beside["rest"] if beside["sheet"] == seen else None
        except (OSError, ValueError, KeyError, TypeError):
            return None
