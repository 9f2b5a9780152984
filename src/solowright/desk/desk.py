"""A desk over one folder: its tunes, their sounds, what is being made, and who is told."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from solowright.desk.backroom import BackRoom
from solowright.desk.channels import Channels
from solowright.desk.folder import OURS
from solowright.desk.jobs import Jobs
from solowright.desk.sounds import Sounds
from solowright.desk.state import Json
from solowright.desk.tunes import Tunes


@dataclass(frozen=True, slots=True)
class Desk:
    """Everything that the routes need."""

    tunes: Tunes
    channels: Channels
    room: BackRoom
    sounds: Sounds
    jobs: Jobs

    def close(self) -> None:
        """Saves what is to be saved, and ends."""
        self.room.close()
        self.tunes.close()


def open_desk(folder: Path) -> Desk:
    """A desk over a folder. Raises InputError where it can't be used."""
    channels = Channels()

    def heard(name: str, what: Json) -> None:
        channels.publish(f"tune {name}", what)

    tunes = Tunes(folder, heard)
    room = BackRoom(lambda job, share, step: jobs.hear(job, share, step))
    jobs = Jobs(tunes.folder / OURS / "exports", room, channels)
    return Desk(tunes, channels, room, Sounds(tunes.folder / OURS / "sound", room), jobs)
