"""A desk over one folder: its tunes, their sounds, what is being made, and who is told."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path

from solowright.desk.backroom import BackRoom
from solowright.desk.channels import Channels
from solowright.desk.folder import OURS
from solowright.desk.jobs import Jobs
from solowright.desk.sounds import Sounds
from solowright.desk.state import Json
from solowright.desk.tunes import Tunes

TIDY = 10  # answers
PRESS_IDLE = 5.0  # seconds: files are made now and then


@dataclass(frozen=True, slots=True)
class Desk:
    """Everything that the routes need. ``press`` is the back room for what takes long (a lesson pack with
    its film takes minutes), so that sound never waits for it."""

    tunes: Tunes
    channels: Channels
    stage: BackRoom
    press: BackRoom
    sounds: Sounds
    jobs: Jobs
    answers: Iterator[int] = field(default_factory=lambda: count(1))

    def tidy(self) -> None:
        """Called when an answer is out: collects garbage now and then, where no one waits for it."""
        if next(self.answers) % TIDY == 0:
            gc.collect()

    def break_off(self) -> None:
        """Ends the work in the back rooms, so that nobody waits for it any more."""
        self.stage.close()
        self.press.close()

    def close(self) -> None:
        """Saves what is to be saved, and ends."""
        self.break_off()
        self.tunes.close()


def open_desk(folder: Path) -> Desk:
    """A desk over a folder. Raises InputError where it can't be used."""
    channels = Channels()

    def heard(name: str, what: Json) -> None:
        channels.publish(f"tune {name}", what)

    tunes = Tunes(folder, heard)
    stage = BackRoom()
    press = BackRoom(lambda job, share, step: jobs.hear(job, share, step), PRESS_IDLE)
    jobs = Jobs(tunes.folder / OURS / "exports", press, channels)
    return Desk(tunes, channels, stage, press, Sounds(tunes.folder / OURS / "sound", stage), jobs)
