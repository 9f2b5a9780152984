"""``--key``: the tune in another key before anything else is done with it, and what changed told."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from solowright.music.tune import Tune
    from solowright.neck import Player

KEY = "Another key, such as Bb or F#m; the line is fingered again."
KeyName = Annotated[str | None, typer.Option("--key", metavar="KEY", help=KEY)]


def at_key(tune: Tune, name: str | None, player: Player | None = None) -> Tune:
    """The tune in the key named; as it is for None. On a terminal, what changed is told on standard error;
    a pipe stays quiet. Raises InputError as ``form.move_to_key`` does, and for what is no key."""
    if name is None:
        return tune
    from solowright.files.sheet_header import read_key
    from solowright.form import move_to_key

    moved, told = move_to_key(tune, read_key(name), player)
    if sys.stderr.isatty():
        for sentence in told:
            print(sentence, file=sys.stderr)
    return moved
