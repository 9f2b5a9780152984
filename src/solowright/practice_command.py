"""The command ``practice``: a folder to learn a solo with, and the log of every try."""

from __future__ import annotations

import json
from datetime import date, datetime
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


def practice(
    file: File,
    output: Annotated[
        Path | None, typer.Option("-o", "--output", metavar="DIR", help="The folder to fill.")
    ] = None,
    gig: Annotated[
        str | None, typer.Option("--gig", metavar="DATE", help="Plan until then, as 2027-03-14.")
    ] = None,
    minutes: Annotated[int, typer.Option("--minutes", help="How long a day's sitting is.")] = 40,
    loops: Annotated[int, typer.Option("--loops", min=1, max=12, help="How many loops at most.")] = 4,
    step: Annotated[float, typer.Option("--step", help="A step of the ladder in percent, 3 to 6.")] = 5.0,
    clean: Annotated[
        int | None, typer.Option("--clean", metavar="LOOP", help="Log a clean try of this loop (1, 2 …).")
    ] = None,
    missed: Annotated[int | None, typer.Option("--missed", metavar="LOOP", help="Log a missed try.")] = None,
    level: Annotated[
        float | None, typer.Option("--level", metavar="DB", help="The level you measured, in dB(A).")
    ] = None,
    tempo: Tempo = None,
    key: KeyName = None,
    as_json: AsJson = False,
    player: PlayerFile = None,
    chart: ChartFile = None,
    part: Part = None,
    octave: Octave = 0,
    refinger: Refinger = False,
) -> None:
    """Loops of the hardest beats, a tempo ladder for each, a log and a plan.

    With -o a folder is filled: a sheet to print, audio for every step, the log. --clean and --missed
    write a try into that folder's log.
    """
    from solowright.neck import apply_path, finger
    from solowright.practice import Entry, Try, loudness_caution, make_course, read_tries, write_try
    from solowright.practice.course import course_json, plan_course
    from solowright.practice.folder import LOG, write_practice, write_standing
    from solowright.practice.words import course_text

    day = _read_date(gig) if gig else None
    caution = loudness_caution(level, minutes) if level is not None else ""
    hand = load_player(player)
    tune = at_key(at_tempo(load_tune(file, chart, part, octave, refinger, player=hand), tempo), key, hand)
    log = output / LOG if output else None
    with progress("fingering", "engraving", "playing every step") as done:
        path = finger(tune, hand).paths[0]
        done()
        entries = read_tries(log, tune.title) if log else ()
        course = make_course(tune, path, entries, None, hand, step / 100, loops)
        plan = plan_course(course, day, minutes) if day else None
        number = clean if clean is not None else missed
        if number is None:
            if output:
                write_practice(apply_path(tune, path), course, output, plan, caution, done)
        else:
            if log is None or not log.parent.is_dir() or (clean and missed):
                raise InputError("a try is logged in a practice folder, one at a time; name it with -o DIR")
            if not 1 <= number <= len(course.loops):
                raise InputError(f"there is no loop {number}; give 1 to {len(course.loops)}")
            chosen = course.loops[number - 1]
            made = Try(date.today(), chosen.task.tempo, clean is not None, chosen.task.kind)
            write_try(log, Entry(datetime.now(), tune.title, chosen.loop.name, made))
            course = make_course(
                tune, path, read_tries(log, tune.title), None, hand, step / 100, loops
            )
            plan = plan_course(course, day, minutes) if day else None
            write_standing(course, log.parent, plan)
    if as_json:
        print(json.dumps(course_json(course, plan), ensure_ascii=False))
    else:
        print(course_text(course, plan, caution))
    if output and number is None:
        tell_written(output)


def _read_date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputError(f"'{text}' is not a date; write year, month and day, such as 2027-03-14") from None
