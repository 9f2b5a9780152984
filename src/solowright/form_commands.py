"""The commands that shape the solo and hand it to the band: ``arc`` and ``parts``."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

from solowright.errors import InputError
from solowright.key_option import KeyName, at_key
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
    key: KeyName = None,
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
    hand = load_player(player)
    tune = at_key(at_tempo(load_tune(file, chart, part, octave, refinger, player=hand), tempo), key, hand)
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


def parts(
    file: File,
    output: Annotated[Path, typer.Option("-o", "--output", metavar="DIR", help="The folder to fill.")],
    key: KeyName = None,
    tempo: Tempo = None,
    player: PlayerFile = None,
    chart: ChartFile = None,
    part: Part = None,
    octave: Octave = 0,
    refinger: Refinger = False,
) -> None:
    """Write the chart as parts for the band.

    One page each in concert pitch, B flat, E flat and bass clef, with form, hits, breaks, answers and cues.
    """
    from solowright.files.whole import write_whole
    from solowright.form import work_out_arc
    from solowright.page.part_score import PARTS, write_part
    from solowright.page.part_xml import part_musicxml
    from solowright.page.parts import part_pdf
    from solowright.work import work_out

    if output.exists() and not output.is_dir():
        raise InputError(f"{output}: this is a file; name a folder for the parts")
    hand = load_player(player)
    tune = at_key(at_tempo(load_tune(file, chart, part, octave, refinger, player=hand), tempo), key, hand)
    with progress("fingering", "reading", "writing") as step:
        worked = work_out(tune, player=hand, step=step)
        assert worked.reading is not None, "the reasons were asked for"
        found = work_out_arc(tune, worked.fingering, worked.reading, player=hand)
        made = [(each, part_pdf(tune, found, each), part_musicxml(write_part(tune, each))) for each in PARTS]
        step()
    try:
        output.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(f"{output}: the folder can't be made ({error.strerror}); name another") from None
    for each, page, score in made:
        write_whole(output / f"{each.name}.pdf", page)
        write_whole(output / f"{each.name}.musicxml", score)
    tell_written(output)
