"""The command that makes the whole lesson: ``lesson``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from solowright.key_option import KeyName, at_key
from solowright.options import (
    ChartFile,
    File,
    Octave,
    Part,
    PlayerFile,
    Refinger,
    Tempo,
    at_tempo,
    load_player,
    load_tune,
    tell_written,
)
from solowright.progress import progress


def lesson(
    file: File,
    output: Annotated[
        Path, typer.Option("-o", "--output", metavar="DIR", help="The folder to fill.", show_default=False)
    ],
    tempo: Tempo = None,
    key: KeyName = None,
    plainer: Annotated[
        float, typer.Option("--plainer", help="How quick a hand the plainer line is for: 0.75 of yours.")
    ] = 0.75,
    player: PlayerFile = None,
    chart: ChartFile = None,
    part: Part = None,
    octave: Octave = 0,
    refinger: Refinger = False,
) -> None:
    """Make the whole lesson to hand out.

    Booklet, students' page, audio, film with captions, filming sheet, a plainer line, parts.
    """
    from solowright.lesson.pack import STEPS, write_lesson

    hand = load_player(player)
    tune = at_key(at_tempo(load_tune(file, chart, part, octave, refinger, player=hand), tempo), key, hand)
    with progress(*STEPS) as step:
        folder = write_lesson(tune, output, player=hand, share=plainer, step=step)
    tell_written(folder)
