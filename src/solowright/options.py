"""The options that several commands share, each written once."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Annotated

import typer

from solowright.errors import InputError

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
