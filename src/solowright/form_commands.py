"""The commands that shape the solo and hand it to the band: ``arc``."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

from solowright.errors import InputError
from solowright.options import (
    AsJson,
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

FIGURES = (".svg", ".png")


def arc(
    file: File,
    tempo: Tempo = None,
    output: Annotated[
        Path | None, typer.Option("-o", "--output", help="Also draw the curves: .svg or .png.")
    ] = None,
    every: Annotated[
        bool, typer.Option("--every", help="A plainer version of every showy passage, not only some.")
    ] = False,
    as_json: AsJson = False,
    player: PlayerFile = None,
    chart: ChartFile = None,
    part: Part = None,
    octave: Octave = 0,
    refinger: Refinger = False,
) -> None:
    """How the solo builds over its bars.

    Pace, register, load, tension, flash and level; the climax, the band's part, what could be plainer.
    """
    from solowright.files.whole import write_whole
    from solowright.form import arc_json, arc_text, work_out_arc
    from solowright.work import work_out

    if output is not None and output.suffix.lower() not in FIGURES:
        raise InputError(f"{output}: curves are drawn as .svg or .png; give the file one of these names")
    tune = at_tempo(load_tune(file, chart, part, octave, refinger), tempo)
    hand = load_player(player)
    with progress("fingering", "reading", "shaping") as step:
        worked = work_out(tune, player=hand, step=step)
        assert worked.reading is not None, "the reasons were asked for"
        found = work_out_arc(tune, worked.fingering, worked.reading, player=hand, every=every)
        step()
    if output is not None:
        from solowright.page.arc_figure import arc_png, draw_arc

        png = output.suffix.lower() == ".png"
        write_whole(output, arc_png(tune, found) if png else draw_arc(tune, found).encode())
        tell_written(output)
    print(json.dumps(arc_json(tune, found), ensure_ascii=False) if as_json else arc_text(tune, found))
