"""The options that several commands share, each written once, and what each one does."""

from __future__ import annotations

import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from solowright.errors import InputError, Problem

if TYPE_CHECKING:
    from solowright.music.tune import Tune
    from solowright.neck import Player

INPUT = "A sheet (.solo), MusicXML (.musicxml, .xml, .mxl), MIDI (.mid) or ABC (.abc) file."
File = Annotated[Path, typer.Argument(metavar="FILE", help=INPUT, show_default=False)]
ChartFile = Annotated[
    Path | None,
    typer.Option("--chart", metavar="CHART", help="A text file with the chart, for MIDI or ABC."),
]
Part = Annotated[
    str | None, typer.Option("--part", help="Which part to read: its number from 1, or its name.")
]
Octave = Annotated[
    int, typer.Option("--octave", help="Shift the line by octaves: -1 for a part written an octave up.")
]
Refinger = Annotated[bool, typer.Option("--refinger", help="Drop the file's strings and fingers.")]
Tempo = Annotated[float | None, typer.Option("--tempo", help="Quarter notes a minute, not the file's.")]
AsJson = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]


PlayerFile = Annotated[
    Path | None, typer.Option("--player", metavar="FILE", help="Your hand and taste (see docs/hand.md).")
]


def read_bars(text: str | None) -> tuple[int, int] | None:
    """``17-24`` or ``17`` as (first, last) bar. Raises InputError on anything else."""
    if text is None:
        return None
    first, dash, last = text.partition("-")
    number = re.compile(r"\d{1,6}", re.ASCII)
    if not number.fullmatch(first.strip()) or (dash and not number.fullmatch(last.strip())):
        raise InputError(f"'{text}' is not a range of bars; write the first and the last, such as 17-24")
    return int(first), int(last) if dash else int(first)


def load_tune(
    file: Path,
    chart: Path | None,
    part: str | None,
    octave: int = 0,
    refinger: bool = False,
    remarks: list[Problem] | None = None,
    player: Player | None = None,
) -> Tune:
    """The tune in a file, as the options ask for it (see ``files.load``).

    A file that states no tuning or capo takes those of the player. Where it states others, the file
    wins, which is told on a terminal.
    """
    from solowright.files.load import load

    told: list[Problem] = []
    tune = load(
        file,
        chart=chart,
        part=part,
        octave=octave,
        refinger=refinger,
        remarks=told if remarks is None else remarks,
        tuning=player.tuning if player else None,
        capo=player.capo if player else None,
    )
    if player and sys.stderr.isatty():
        for remark in told:
            print(remark, file=sys.stderr)
    return tune


def at_tempo(tune: Tune, tempo: float | None) -> Tune:
    """The tune at another tempo, in quarter notes a minute; as it is for None. Raises InputError."""
    if tempo is None:
        return tune
    from solowright.music.time import FASTEST, SLOWEST

    if not SLOWEST <= tempo <= FASTEST:
        raise InputError(f"a tempo of {tempo:g} can't be played; give {SLOWEST:g} to {FASTEST:g}")
    return tune.at_tempo(tempo)


def load_player(file: Path | None) -> Player | None:
    """The player in a profile; None, the usual one, where no file is named."""
    if file is None:
        return None
    from solowright.neck import read_player

    return read_player(file)


def tell_written(path: Path) -> None:
    """On a terminal, says that the file is there; a pipe stays quiet."""
    if sys.stderr.isatty():
        print(f"Wrote {path}.", file=sys.stderr)
