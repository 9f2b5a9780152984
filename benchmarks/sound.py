"""How fast a tune is played: ``python benchmarks/sound.py``.

A 64-bar tune with a line of eighths, triplets and slurs at 160 quarter notes a minute. Prints seconds
from a cold start (a fresh process, numba's cache empty and then filled), times real time for the voice,
the amplifier and the whole mix, then for an hour written to disk, and the most memory held by each.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from random import Random

from solowright.music.chart import Bar, Chart, ChordAt, Section
from solowright.music.chord import parse_chord
from solowright.music.line import Note, make_line
from solowright.music.pitch import plain
from solowright.music.time import SWING, steady
from solowright.music.tune import Tune

CHANGES = ("A7", "D7", "A7", "Em7 A7", "Fmaj7", "B7 Em7", "C#m7b5 F#7b9", "Bm7 E7alt")
LENGTHS = (Fraction(1, 2), Fraction(1, 2), Fraction(1, 3), Fraction(1), Fraction(1, 4))


def long_tune(times: int = 8) -> Tune:
    """An invented tune of ``times`` times eight bars."""
    bars = []
    for symbols in CHANGES:
        chords = symbols.split()
        share = Fraction(4, len(chords))
        bars.append(Bar(chords=tuple(ChordAt(share * n, parse_chord(c)) for n, c in enumerate(chords))))
    random, notes, onset, midi = Random(7), [], Fraction(0), 64
    while onset < 32 * times - 4:
        midi = min(84, max(48, midi + random.choice((-4, -2, -1, 1, 2, 3))))
        length = random.choice(LENGTHS)
        slurred, vibrato = random.random() < 0.3, length == 1
        notes.append(Note(plain(midi), onset, length, slurred=slurred, vibrato=vibrato))
        onset += length
    chart = Chart((Section("A", tuple(bars), times),))
    return Tune("benchmark", chart, make_line(notes), feel=SWING, tempo=steady(160))


def cold_start(cache: str) -> float:
    """Seconds for a fresh process to render four bars."""
    code = (
        "import runpy; tune = runpy.run_path('benchmarks/sound.py')['long_tune'](1);"
        "from solowright.sound.mix import render; render(tune, bars=(1, 4))"
    )
    started = time.perf_counter()
    home = Path(__file__).parents[1]
    environment = {**os.environ, "NUMBA_CACHE_DIR": cache}
    subprocess.run([sys.executable, "-c", code], check=True, cwd=home, env=environment)
    return time.perf_counter() - started


def main() -> None:
    with tempfile.TemporaryDirectory() as cache:
        print(f"{'cold start, nothing compiled':34}{cold_start(cache):7.2f} s")
        print(f"{'cold start, compiled before':34}{cold_start(cache):7.2f} s")

    from solowright.sound.excerpt import choose
    from solowright.sound.guitar import play_guitar
    from solowright.sound.mix import render
    from solowright.sound.speak import speak_report
    from solowright.sound.string import SAMPLE_RATE
    from solowright.sound.tone import amplify

    tune = long_tune()
    excerpt = choose(tune, None, None, True)
    seconds = excerpt.length / SAMPLE_RATE
    render(tune, bars=(1, 2))  # compiles

    def times_real_time(what: Callable[[], object]) -> float:
        started = time.perf_counter()
        what()
        return seconds / (time.perf_counter() - started)

    picked_up = play_guitar(excerpt)
    print(f"{'music':34}{seconds:7.1f} s, {len(tune.line.notes)} notes")
    print(f"{'guitar voice':34}{times_real_time(lambda: play_guitar(excerpt)):7.0f} × real time")
    print(f"{'amplifier':34}{times_real_time(lambda: amplify(picked_up)):7.0f} × real time")
    print(f"{'full mix, all stems':34}{times_real_time(lambda: render(tune)):7.0f} × real time")
    print(f"{'most memory':34}{most_memory():7.0f} MiB")
    print(f"{'speak report':34}{seconds_for(lambda: speak_report(tune)):7.1f} s")
    sys.stdout.flush()
    subprocess.run([sys.executable, __file__, "hour"], check=True)


def most_memory() -> float:
    """MiB that this process has held at most. Linux; getrusage would tell a child its parent's figure."""
    status = Path("/proc/self/status").read_text()
    return int(status.split("VmHWM:")[1].split()[0]) / 1024


def seconds_for(what: Callable[[], object]) -> float:
    started = time.perf_counter()
    what()
    return time.perf_counter() - started


def an_hour() -> None:
    """An hour to a FLAC file, in a process of its own."""
    from solowright.sound.recording import record

    with tempfile.TemporaryDirectory() as folder:
        started = time.perf_counter()
        seconds = record(long_tune(300), Path(folder) / "hour.flac")
        taken = time.perf_counter() - started
    print(f"{'an hour to disk':34}{seconds / taken:7.0f} × real time, {seconds:.0f} s of music")
    print(f"{'most memory for it':34}{most_memory():7.0f} MiB")


if __name__ == "__main__":
    an_hour() if sys.argv[1:] == ["hour"] else main()
