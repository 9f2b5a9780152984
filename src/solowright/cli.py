"""The command line: ``solowright COMMAND FILE``.

Exit status: 0 done, 2 wrong input or usage (one line on standard error, nothing written), 1 a fault
of ours. Every command imports what it needs only when it runs, so the first answer comes quickly.
"""

from __future__ import annotations

import gc
import json
import os
import sys
from collections.abc import Sized
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer
from typer.exceptions import Abort, Exit, TyperException

from solowright import __version__
from solowright.desk_command import desk
from solowright.errors import FileError, InputError, Problem
from solowright.form_commands import arc, parts
from solowright.key_option import KeyName, at_key
from solowright.lesson_command import lesson
from solowright.options import (
    INPUT,
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
from solowright.practice_command import practice
from solowright.progress import progress
from solowright.sound_commands import slow, sound, tone

if TYPE_CHECKING:
    from solowright.neck.fingering import Objective

NEW_OBJECTS = 50_000  # before cycles are looked for: a command makes many small things that die at once

app = typer.Typer(
    name="solowright",
    help="Work out, finger, explain, engrave and sound an electric-guitar solo over its chart.",
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

def main() -> None:
    """Runs the command line and ends the process with its exit status."""
    gc.set_threshold(NEW_OBJECTS)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")  # an old console may have no flat sign
    try:
        status = app(standalone_mode=False)
        sys.stdout.flush()
    except InputError as error:
        sys.exit(_complain(str(error), 2))
    except TyperException as error:
        sys.exit(_complain(f"{error.format_message().rstrip('.')}; see solowright --help", 2))
    except (Abort, KeyboardInterrupt):
        sys.exit(_complain("stopped", 130))
    except Exit as stop:
        sys.exit(stop.exit_code)
    except BrokenPipeError:  # the reader has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except OSError as error:
        sys.exit(_complain(f"the answer can't be written ({error.strerror})", 2))
    except Exception as fault:
        kind = type(fault).__name__
        sys.exit(_complain(f"a fault of ours, not of your input ({kind}: {fault}); please report it", 1))
    sys.exit(status if isinstance(status, int) else 0)


def _complain(text: str, status: int) -> int:
    print("solowright: " + _one_line(text), file=sys.stderr)
    return status


def _one_line(text: str) -> str:
    """A message on one line, what would steer a terminal made visible."""
    line = " ".join(text.split())
    return "".join(sign if sign.isprintable() else ascii(sign)[1:-1] for sign in line)


def _count(things: Sized, name: str) -> str:
    return f"{len(things)} {name}{'' if len(things) == 1 else 's'}"


def _print_json(answer: Any) -> None:
    print(json.dumps(answer, ensure_ascii=False))


@app.command()
def check(
    files: Annotated[list[Path], typer.Argument(metavar="FILE...", help=INPUT, show_default=False)],
    chart: ChartFile = None,
    part: Part = None,
) -> int:
    """Report every problem in files.

    One line each: FILE:line:column: what is wrong; what to do.
    """
    worst = 0
    for file in files:
        remarks: list[Problem] = []
        try:
            tune = load_tune(file, chart, part, remarks=remarks)
        except FileError as error:
            for problem in error.problems:
                print(_one_line(str(problem)), file=sys.stderr)
            worst = 2
        except InputError as error:
            worst = _complain(str(error), 2)
        else:
            size = f"{_count(tune.chart.bars, 'bar')}, {_count(tune.line.notes, 'note')}"
            print(_one_line(f"{file}: {tune.title}, {size}: no problem found"))
        for remark in remarks:
            print(_one_line(f"{remark} (read past)"))
    return worst


@app.command()
def chord(
    symbol: Annotated[
        str, typer.Argument(help="As on a lead sheet: Gbm7, F#7b9, C13(#11)/G.", show_default=False)
    ],
    as_json: AsJson = False,
) -> None:
    """What a chord symbol means.

    Its tones, the triads that sound over it with the tensions they give, and the scales that fit.
    """
    from solowright.harmony.chord_answer import chord_json, chord_text
    from solowright.music.chord import parse_chord

    parsed = parse_chord(symbol)
    if as_json:
        _print_json(chord_json(parsed))
    else:
        print(chord_text(parsed))


@app.command()
def finger(
    file: File,
    output: Annotated[
        Path | None, typer.Option("-o", "--output", help="Write the fingered tune (.musicxml, .solo).")
    ] = None,
    tempo: Tempo = None,
    key: KeyName = None,
    best: Annotated[int, typer.Option("--best", min=1, max=20, help="How many fingerings to offer.")] = 1,
    easiest: Annotated[
        bool, typer.Option("--easiest", help="Make the hardest move as easy as can be.")
    ] = False,
    easier: Annotated[
        bool, typer.Option("--easier", help="Change as few notes as it takes to reach the tempo.")
    ] = False,
    frets: Annotated[
        str | None, typer.Option("--frets", metavar="RANGES", help="Stay there: '5-8 7-10, 12 0-4'.")
    ] = None,
    tempos: Annotated[
        bool, typer.Option("--tempos", help="Add every phrase's limit, and what changes at 60 to 120 %.")
    ] = False,
    as_json: AsJson = False,
    player: PlayerFile = None,
    chart: ChartFile = None,
    part: Part = None,
    octave: Octave = 0,
    refinger: Refinger = False,
) -> None:
    """Put the line under the hand.

    String, fret, finger and slur for every note; how fast it goes, where it breaks first, and what
    would ease it.
    """
    from solowright import summary
    from solowright.form import tell_changes
    from solowright.neck import (
        apply_path,
        find_easings,
        fingering_json,
        limit_by_passage,
        parse_ranges,
        tempo_table,
    )
    from solowright.neck import finger as find_fingering
    from solowright.work import make_easier

    hand = load_player(player)
    given = load_tune(file, chart, part, octave, refinger, player=hand)
    tune = at_key(at_tempo(given, tempo), key, hand)
    told: list[str] = []
    if easier:
        tune, told = make_easier(tune, hand)
    ranges = parse_ranges(frets, tune) if frets else ()
    objective: Objective = "hardest" if easiest else "effort"
    fingering = find_fingering(tune, hand, best, objective=objective, ranges=ranges)
    if output:
        from solowright.files.load import save

        save(apply_path(tune, fingering.paths[0]), output)
    if as_json:
        _print_json(fingering_json(tune, fingering))
        return
    print(summary.fingering_text(tune, fingering, find_easings(tune, fingering.paths[0], hand), hand, told))
    if tempo is not None or key is not None:
        changes = tell_changes(given, find_fingering(given, hand), tune, fingering)
        print("\n".join(["", "Against the file as it is:", *changes]))
    if tempos:
        print(summary.passages_text(limit_by_passage(tune, fingering.paths[0])))
        print(summary.tempos_text(tempo_table(tune, hand)))


@app.command()
def explain(
    file: File,
    key: KeyName = None,
    as_json: AsJson = False,
    chart: ChartFile = None,
    part: Part = None,
    octave: Octave = 0,
) -> None:
    """Say why the line works.

    What every note is to its chord, where phrases land, and the devices that make them.
    """
    from solowright.harmony import read_spelled, reading_json

    tune, reading = read_spelled(at_key(load_tune(file, chart, part, octave), key))
    if as_json:
        _print_json(reading_json(tune, reading))
        return
    from solowright.summary import reading_text

    print(reading_text(tune, reading))


@app.command()
def page(
    file: File,
    output: Annotated[
        Path, typer.Option("-o", "--output", help="Where to write: .pdf, .svg or .png.", show_default=False)
    ],
    tempo: Tempo = None,
    key: KeyName = None,
    chart: ChartFile = None,
    part: Part = None,
    octave: Octave = 0,
    refinger: Refinger = False,
    player: PlayerFile = None,
    reasons: Annotated[bool, typer.Option(help="Print the reasons under the bars.")] = True,
) -> None:
    """Engrave notation over tablature.

    With chords, fingers, slurs and the reasons under the bars: a booklet (.pdf) or one long page.
    """
    from solowright.work import write_page

    hand = load_player(player)
    tune = at_key(at_tempo(load_tune(file, chart, part, octave, refinger, player=hand), tempo), key, hand)
    with progress("fingering", "reading", "engraving") as step:
        write_page(tune, output, player=hand, reasons=reasons, step=step)
    tell_written(output)


app.command()(sound)
app.command()(tone)
app.command()(slow)
app.command()(arc)
app.command()(practice)
app.command()(lesson)
app.command()(parts)
app.command()(desk)


@app.command()
def convert(
    source: Annotated[Path, typer.Argument(metavar="IN", help=INPUT, show_default=False)],
    target: Annotated[
        Path, typer.Argument(metavar="OUT", help="Another such file, by its suffix.", show_default=False)
    ],
    tempo: Tempo = None,
    key: KeyName = None,
    chart: ChartFile = None,
    part: Part = None,
    octave: Octave = 0,
    refinger: Refinger = False,
) -> None:
    """Turn one format into another."""
    from solowright.files.load import save

    if target.exists() and target.samefile(source):
        raise InputError(f"{target}: this is the file to convert, and would be lost; name another")
    save(at_key(at_tempo(load_tune(source, chart, part, octave, refinger), tempo), key), target)
    tell_written(target)


@app.command()
def demo(
    output: Annotated[Path, typer.Option("-o", "--output", metavar="DIR", help="The folder to fill.")] = Path(
        "solowright-demo"
    ),
) -> None:
    """Work the bundled tune from end to end.

    Booklet, pages, audio, MusicXML, MIDI, and a web page that shows and plays them.
    """
    from solowright.demo import STEPS, make_demo

    with progress(*STEPS) as step:
        index = make_demo(output, step=step)
    print(f"Open {index} in a browser.")


def _show_version(asked: bool) -> None:
    if asked:
        print(f"solowright {__version__}")
        raise Exit()


@app.callback(invoke_without_command=True)
def _options(
    context: typer.Context,
    version: Annotated[
        bool, typer.Option("--version", callback=_show_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    if context.invoked_subcommand is None:
        print(context.get_help())
