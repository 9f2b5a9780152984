"""The command line: ``solowright COMMAND FILE``.

Exit status: 0 done, 2 wrong input or usage (one line on standard error, nothing written), 1 a fault
of ours. Every command imports what it needs only when it runs, so the first answer comes quickly.
"""

from __future__ import annotations

import json
import os
import re
import sys
from collections.abc import Iterator, Sized
from contextlib import contextmanager
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer
from typer.exceptions import Abort, Exit, TyperException

from solowright import __version__
from solowright.errors import FileError, InputError, Problem

if TYPE_CHECKING:
    from solowright.music.tune import Tune

app = typer.Typer(
    name="solowright",
    help="Work out, finger, explain, engrave and sound an electric-guitar solo over its chart.",
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

_INPUT = "A sheet (.solo), MusicXML (.musicxml, .xml, .mxl), MIDI (.mid) or ABC (.abc) file."
File = Annotated[Path, typer.Argument(metavar="FILE", help=_INPUT, show_default=False)]
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


def main() -> None:
    """Runs the command line and ends the process with its exit status."""
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
    print("solowright: " + " ".join(text.split()), file=sys.stderr)
    return status


def _count(things: Sized, name: str) -> str:
    return f"{len(things)} {name}{'' if len(things) == 1 else 's'}"


def _tell_written(path: Path) -> None:
    """On a terminal, says that the file is there; a pipe stays quiet."""
    if sys.stderr.isatty():
        print(f"Wrote {path}.", file=sys.stderr)


def _print_json(answer: Any) -> None:
    print(json.dumps(answer, ensure_ascii=False))


@contextmanager
def _progress(*steps: str) -> Iterator[Any]:
    """A progress bar over named steps on a terminal, nothing in a pipe. Yields ``next_step()``."""
    if not sys.stderr.isatty():
        yield lambda: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (TextColumn("{task.description:<22}"), BarColumn(), TimeElapsedColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(steps[0], total=len(steps))
        done = 0

        def next_step() -> None:
            nonlocal done
            done += 1
            bar.update(task, completed=done, description=steps[min(done, len(steps) - 1)])

        yield next_step


def _load(
    file: Path,
    chart: Path | None,
    part: str | None,
    octave: int = 0,
    refinger: bool = False,
    remarks: list[Problem] | None = None,
) -> Tune:
    from solowright.files.load import load

    return load(file, chart=chart, part=part, octave=octave, refinger=refinger, remarks=remarks)


def _at(tune: Tune, tempo: float | None) -> Tune:
    if tempo is None:
        return tune
    from solowright.music.time import FASTEST, SLOWEST

    if not SLOWEST <= tempo <= FASTEST:
        raise InputError(f"a tempo of {tempo:g} can't be played; give {SLOWEST:g} to {FASTEST:g}")
    return tune.at_tempo(tempo)


@app.command()
def check(
    files: Annotated[list[Path], typer.Argument(metavar="FILE...", help=_INPUT, show_default=False)],
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
            tune = _load(file, chart, part, remarks=remarks)
        except FileError as error:
            for problem in error.problems:
                print(problem, file=sys.stderr)
            worst = 2
        except InputError as error:
            worst = _complain(str(error), 2)
        else:
            size = f"{_count(tune.chart.bars, 'bar')}, {_count(tune.line.notes, 'note')}"
            print(f"{file}: {tune.title}, {size}: no problem found")
        for remark in remarks:
            print(f"{remark} (read past)")
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
    best: Annotated[int, typer.Option("--best", min=1, max=20, help="How many fingerings to offer.")] = 1,
    as_json: AsJson = False,
    chart: ChartFile = None,
    part: Part = None,
    octave: Octave = 0,
    refinger: Refinger = False,
) -> None:
    """Put the line under the hand.

    String, fret, finger and slur for every note; how fast it goes, and where it breaks first.
    """
    from solowright.neck import apply_path, fingering_json
    from solowright.neck import finger as find_fingering

    tune = _at(_load(file, chart, part, octave, refinger), tempo)
    fingering = find_fingering(tune, best=best)
    if output:
        from solowright.files.load import save

        save(apply_path(tune, fingering.paths[0]), output)
    if as_json:
        _print_json(fingering_json(tune, fingering))
        return
    from solowright.summary import fingering_text

    print(fingering_text(tune, fingering))


@app.command()
def explain(
    file: File,
    as_json: AsJson = False,
    chart: ChartFile = None,
    part: Part = None,
    octave: Octave = 0,
) -> None:
    """Say why the line works.

    What every note is to its chord, where phrases land, and the devices that make them.
    """
    from solowright.harmony import read_line, reading_json

    tune = _load(file, chart, part, octave)
    reading = read_line(tune)
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
    chart: ChartFile = None,
    part: Part = None,
    octave: Octave = 0,
    refinger: Refinger = False,
    reasons: Annotated[bool, typer.Option(help="Print the reasons under the bars.")] = True,
) -> None:
    """Engrave notation over tablature.

    With chords, fingers, slurs and the reasons under the bars: a booklet (.pdf) or one long page.
    """
    from solowright.work import write_page

    tune = _at(_load(file, chart, part, octave, refinger), tempo)
    with _progress("fingering", "reading", "engraving") as step:
        write_page(tune, output, reasons=reasons, step=step)
    _tell_written(output)


@app.command()
def sound(
    file: File,
    output: Annotated[
        Path, typer.Option("-o", "--output", help="Where to write: .wav, .flac or .ogg.", show_default=False)
    ],
    tempo: Tempo = None,
    bars: Annotated[str | None, typer.Option("--bars", metavar="A-B", help="Only these bars.")] = None,
    stems: Annotated[
        Path | None, typer.Option("--stems", metavar="DIR", help="Also write guitar, bass, drums… apart.")
    ] = None,
    chart: ChartFile = None,
    part: Part = None,
    octave: Octave = 0,
    refinger: Refinger = False,
) -> None:
    """Play the line with a band.

    The guitar as fingered, bass, drums and comping from the chart, a bar of count-in.
    """
    from solowright.work import write_sound

    tune = _at(_load(file, chart, part, octave, refinger), tempo)
    with _progress("fingering", "playing", "writing") as step:
        write_sound(tune, output, bars=read_bars(bars), stems_dir=stems, step=step)
    _tell_written(output)


def read_bars(text: str | None) -> tuple[int, int] | None:
    """``17-24`` or ``17`` as (first, last) bar. Raises InputError on anything else."""
    if text is None:
        return None
    first, dash, last = text.partition("-")
    number = re.compile(r"\d{1,6}", re.ASCII)
    if not number.fullmatch(first.strip()) or (dash and not number.fullmatch(last.strip())):
        raise InputError(f"'{text}' is not a range of bars; write the first and the last, such as 17-24")
    return int(first), int(last) if dash else int(first)


@app.command()
def convert(
    source: Annotated[Path, typer.Argument(metavar="IN", help=_INPUT, show_default=False)],
    target: Annotated[
        Path, typer.Argument(metavar="OUT", help="Another such file, by its suffix.", show_default=False)
    ],
    chart: ChartFile = None,
    part: Part = None,
    octave: Octave = 0,
    refinger: Refinger = False,
) -> None:
    """Turn one format into another."""
    from solowright.files.load import save

    if target.exists() and target.samefile(source):
        raise InputError(f"{target}: this is the file to convert, and would be lost; name another")
    save(_load(source, chart, part, octave, refinger), target)
    _tell_written(target)


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

    with _progress(*STEPS) as step:
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
