"""The command line: ``solowright COMMAND FILE``.

Exit status: 0 done, 2 wrong input or usage (one line on standard error, nothing written), 1 a fault
of ours. Every command imports what it needs only when it runs, so the first answer comes quickly.
"""

from __future__ import annotations

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
from solowright.errors import FileError, InputError, Problem
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
    read_bars,
)
from solowright.progress import progress

if TYPE_CHECKING:
    from solowright.music.tune import Tune
    from solowright.neck import Player

app = typer.Typer(
    name="solowright",
    help="Work out, finger, explain, engrave and sound an electric-guitar solo over its chart.",
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

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


def _player(file: Path | None) -> Player | None:
    if file is None:
        return None
    from solowright.neck import read_player

    return read_player(file)


def _count(things: Sized, name: str) -> str:
    return f"{len(things)} {name}{'' if len(things) == 1 else 's'}"


def _tell_written(path: Path) -> None:
    """On a terminal, says that the file is there; a pipe stays quiet."""
    if sys.stderr.isatty():
        print(f"Wrote {path}.", file=sys.stderr)


def _print_json(answer: Any) -> None:
    print(json.dumps(answer, ensure_ascii=False))


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
    easiest: Annotated[
        bool, typer.Option("--easiest", help="Make the hardest move as easy as can be.")
    ] = False,
    tempos: Annotated[
        bool, typer.Option("--tempos", help="Add what changes from 60 to 120 % of the tempo.")
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
    from solowright.neck import apply_path, find_easings, fingering_json, tempo_table
    from solowright.neck import finger as find_fingering

    tune = _at(_load(file, chart, part, octave, refinger), tempo)
    hand = _player(player)
    fingering = find_fingering(tune, hand, best, objective="hardest" if easiest else "effort")
    if output:
        from solowright.files.load import save

        save(apply_path(tune, fingering.paths[0]), output)
    if as_json:
        _print_json(fingering_json(tune, fingering))
        return
    print(summary.fingering_text(tune, fingering, find_easings(tune, fingering.paths[0], hand)))
    if tempos:
        print(summary.tempos_text(tempo_table(tune, hand)))


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
    player: PlayerFile = None,
    reasons: Annotated[bool, typer.Option(help="Print the reasons under the bars.")] = True,
) -> None:
    """Engrave notation over tablature.

    With chords, fingers, slurs and the reasons under the bars: a booklet (.pdf) or one long page.
    """
    from solowright.work import write_page

    tune = _at(_load(file, chart, part, octave, refinger), tempo)
    with progress("fingering", "reading", "engraving") as step:
        write_page(tune, output, player=_player(player), reasons=reasons, step=step)
    _tell_written(output)


@app.command()
def sound(
    file: File,
    output: Annotated[
        Path,
        typer.Option("-o", "--output", help="Where to write: .wav, .flac, .ogg, .opus.", show_default=False),
    ],
    tempo: Tempo = None,
    bars: Annotated[str | None, typer.Option("--bars", metavar="A-B", help="Only these bars.")] = None,
    times: Annotated[int, typer.Option("--times", min=1, help="How often the bars are played.")] = 1,
    style: Annotated[
        str | None, typer.Option("--style", help="The band's: walking, two-feel, shuffle, rock, bossa, funk.")
    ] = None,
    rig: Annotated[str, typer.Option("--rig", help="The guitar's: a name that 'tone' lists.")] = "mild",
    stems: Annotated[
        Path | None, typer.Option("--stems", metavar="DIR", help="Also write guitar, bass, drums… apart.")
    ] = None,
    player: PlayerFile = None,
    chart: ChartFile = None,
    part: Part = None,
    octave: Octave = 0,
    refinger: Refinger = False,
) -> None:
    """Play the line with a band.

    The guitar as fingered, bass, drums and comping from the chart, a bar of count-in.
    """
    from solowright.sound.audio import audio_format
    from solowright.sound.mix import Wish
    from solowright.sound.practice import looped
    from solowright.sound.tone import choose_rig
    from solowright.work import write_sound

    audio_format(output)
    tune = _at(_load(file, chart, part, octave, refinger), tempo)
    chosen = read_bars(bars)
    if times > 1:
        first, last = chosen or (1, tune.chart.number(len(tune.chart.bars) - 1))
        tune, chosen = looped(tune, (first, last), times), None
    wish = Wish(bars=chosen, style=style, rig=choose_rig(rig))
    with progress("fingering", "playing and writing") as step:
        write_sound(tune, output, wish, stems_dir=stems, player=_player(player), step=step)
    _tell_written(output)


@app.command()
def tone(
    file: File,
    tempo: Tempo = None,
    bars: Annotated[str | None, typer.Option("--bars", metavar="A-B", help="Only these bars.")] = None,
    output: Annotated[
        Path | None, typer.Option("-o", "--output", help="Also draw the curves: .svg or .png.")
    ] = None,
    as_json: AsJson = False,
    player: PlayerFile = None,
    chart: ChartFile = None,
    part: Part = None,
    octave: Octave = 0,
    refinger: Refinger = False,
) -> None:
    """Measure how much gain it takes until slurs speak.

    The level of slurred notes against picked ones at a range of gains, and what more gain costs.
    """
    from solowright.sound import speak_words
    from solowright.work import measure_tone, write_tone

    tune = _at(_load(file, chart, part, octave, refinger), tempo)
    report = measure_tone(tune, read_bars(bars), _player(player))
    if output:
        write_tone(report, output)
    if as_json:
        _print_json(speak_words.speak_json(report))
    else:
        print(speak_words.speak_text(report))


@app.command()
def convert(
    source: Annotated[Path, typer.Argument(metavar="IN", help=INPUT, show_default=False)],
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
