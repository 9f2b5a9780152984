"""The commands that are heard: ``sound``, ``tone`` and ``slow``."""

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
    read_bars,
    tell_written,
)
from solowright.progress import progress

AUDIO = "Where to write: .wav, .flac, .ogg, .opus."
STYLES = "The band's style: walking, two-feel, shuffle, rock, bossa, funk."
RIGS = "The guitar's sound: mild, clean, even, round, bite, slurs-speak, sing, full."
Bars = Annotated[str | None, typer.Option("--bars", metavar="A-B", help="Only these bars.")]


def sound(
    file: File,
    output: Annotated[Path, typer.Option("-o", "--output", help=AUDIO, show_default=False)],
    tempo: Tempo = None,
    key: KeyName = None,
    bars: Bars = None,
    times: Annotated[int, typer.Option("--times", min=1, max=999, help="Play them so often.")] = 1,
    preroll: Annotated[
        int, typer.Option("--preroll", min=0, max=8, help="Bars that lead into a loop, once.")
    ] = 0,
    transpose: Annotated[
        int, typer.Option("--transpose", min=-11, max=11, help="Semitones up; the fingering is found again.")
    ] = 0,
    style: Annotated[str | None, typer.Option("--style", help=STYLES)] = None,
    rig: Annotated[str, typer.Option("--rig", help=RIGS)] = "mild",
    gain: Annotated[float | None, typer.Option("--gain", help="Its gain in dB, 0 to 40.")] = None,
    click: Annotated[bool, typer.Option("--click", help="A click all the way through.")] = False,
    drone: Annotated[bool, typer.Option("--drone", help="A held root under everything.")] = False,
    break_hats: Annotated[bool, typer.Option("--break-hats", help="A hi-hat keeps time in breaks.")] = False,
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
    from solowright.sound.mix import STEMS, Wish
    from solowright.sound.practice import looped, transposed
    from solowright.sound.tone import choose_rig, with_gain
    from solowright.work import write_sound

    audio_format(output)
    chosen_rig = choose_rig(rig) if gain is None else with_gain(choose_rig(rig), gain)
    hand = load_player(player)
    tune = at_key(at_tempo(load_tune(file, chart, part, octave, refinger, player=hand), tempo), key, hand)
    if transpose:
        tune = transposed(tune, transpose)
    chosen = read_bars(bars)
    if times > 1:
        first, last = chosen or (1, tune.chart.number(len(tune.chart.bars) - 1))
        tune, chosen = looped(tune, (first, last), times, preroll), None
    wish = Wish(
        bars=chosen,
        clicked=click,
        stems=(*STEMS, "drone") if drone else STEMS,
        style=style,
        break_hats=break_hats,
        rig=chosen_rig,
    )
    with progress("fingering", "playing and writing") as step:
        write_sound(tune, output, wish, stems_dir=stems, player=hand, step=step)
    tell_written(output)


def tone(
    file: File,
    tempo: Tempo = None,
    key: KeyName = None,
    bars: Bars = None,
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

    hand = load_player(player)
    tune = at_key(at_tempo(load_tune(file, chart, part, octave, refinger, player=hand), tempo), key, hand)
    with progress("measuring") as step:
        report = measure_tone(tune, read_bars(bars), hand)
        step()
    if output:
        write_tone(report, output)
    if as_json:
        print(json.dumps(speak_words.speak_json(report), ensure_ascii=False))
    else:
        print(speak_words.speak_text(report).rstrip())


def slow(
    recording: Annotated[Path, typer.Argument(metavar="AUDIO", help="Your recording.", show_default=False)],
    output: Annotated[Path, typer.Option("-o", "--output", help=AUDIO, show_default=False)],
    speed: Annotated[float, typer.Option("--speed", help="Share of its tempo: 0.5 is half.")] = 0.6,
) -> None:
    """Slow a recording of your own, at the same pitch."""
    from solowright.sound.stretch import slow_recording

    if output.exists() and recording.exists() and output.samefile(recording):
        raise InputError(f"{output}: this is the recording, and would be lost; name another file")
    slow_recording(recording, output, speed)
    tell_written(output)
