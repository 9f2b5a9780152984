"""The player's own file in the folder: the one that ``--player`` reads on the command line.

The panel at the desk changes what stands in ``PANEL``; anything else that the file says is kept.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path

from solowright.desk.durable import write_durably
from solowright.desk.state import Json
from solowright.errors import InputError
from solowright.music.hand import NUMBERS
from solowright.neck.player import Player
from solowright.neck.profile import parse_player, write_player

FILE = "player.toml"
PANEL = (
    "reach", "frets", "pick_rate", "weak_fingers", "positions", "open_strings", "legato", "left_handed",
    "taps",
)  # fmt: skip
MOST_BYTES = 100_000
USUAL = Player()


@dataclass(frozen=True, slots=True)
class Profile:
    """What the file says and the player it makes; the usual one where there is none, or where a ``problem``
    keeps it from being read. ``seen`` tells one content of the file from another."""

    said: Json = field(default_factory=dict)
    player: Player = USUAL
    problem: str | None = None
    seen: tuple[int, int] | None = None


def see_profile(folder: Path) -> tuple[int, int] | None:
    """What changes when the file does; None where there is none."""
    try:
        stat = (folder / FILE).stat()
    except OSError:
        return None
    return stat.st_mtime_ns, stat.st_size


def read_profile(folder: Path) -> Profile:
    """The profile of a folder as it stands."""
    seen = see_profile(folder)
    if seen is None:
        return Profile()
    try:
        _check_inside(folder)
        if seen[1] > MOST_BYTES:
            raise InputError(f"{FILE} has over {MOST_BYTES // 1000} kB and is no player's file; look into it")
        text = (folder / FILE).read_text("utf-8")
        player = parse_player(text, FILE)
    except (OSError, UnicodeDecodeError):
        return Profile(problem=f"{FILE} can't be read; save it as UTF-8, or take it away", seen=seen)
    except InputError as error:
        return Profile(problem=str(error), seen=seen)
    return Profile(tomllib.loads(text), player, None, seen)


def change_profile(profile: Profile, wishes: Json) -> Profile:
    """The profile with ``wishes`` put in; None takes a key out again. Raises InputError for wrong values."""
    for key in wishes:
        if key not in PANEL:
            raise InputError(f"'{str(key)[:40]}' can't be set here; the panel has {', '.join(PANEL)}")
    said = {key: value for key, value in {**profile.said, **wishes}.items() if value is not None}
    return Profile(said, player_of(said))


def player_of(said: Json) -> Player:
    """The player that a file with just this makes. Raises InputError for wrong values."""
    return parse_player(write_player(said), FILE)


def save_profile(folder: Path, profile: Profile) -> Profile:
    """Writes the file, whole or not at all. Raises InputError where it can't be."""
    _check_inside(folder)
    write_durably(folder / FILE, write_player(profile.said).encode())
    return Profile(profile.said, profile.player, None, see_profile(folder))


def _check_inside(folder: Path) -> None:
    """A link may not lead out of the folder. Raises InputError."""
    if (folder / FILE).resolve().parent != folder.resolve():
        raise InputError(f"{FILE} is a link that leads out of this folder; put the file itself here")


def mark_of(player: Player) -> str:
    """What tells one player's fingering from another's; empty for the usual player."""
    return "" if player == USUAL else sha256(repr(player).encode()).hexdigest()[:16]


def profile_json(profile: Profile) -> Json:
    """The profile for the panel: what the file says, what is usual, and the bounds of numbers."""
    return {
        "file": FILE,
        "said": {key: value for key, value in profile.said.items() if key in PANEL},
        "usual": {"reach": USUAL.reach, "frets": USUAL.frets, "pick_rate": USUAL.pick_rate},
        "bounds": {key: NUMBERS[key] for key in PANEL if key in NUMBERS},
        "problem": profile.problem,
    }
