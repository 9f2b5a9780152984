"""A server of the desk over one long tune, for its benchmarks."""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from solowright.demo import bundled_tune
from solowright.files.load import save
from solowright.music.chart import Chart, Section
from solowright.music.line import Note, make_line
from solowright.music.tune import Tune

SERVE = """
import sys
from pathlib import Path
from solowright.desk.serve import serve

if __name__ == "__main__":
    serve(Path(sys.argv[1]), 0, browser=False, tell=lambda address: print(address, flush=True))
"""
CHORDS = ("A7", "D9", "Bm7 E7", "F#7#9", "Cmaj7")


def long_tune(bars: int) -> Tune:
    """The bundled tune over and over, in sections of eight bars."""
    tune = bundled_tune()
    chart = tune.chart
    written, notes, now = [], list[Note](), Fraction(0)
    for count in range(bars):
        index = count % len(chart.bars)
        start, end = chart.starts[index], chart.starts[index + 1]
        notes += [
            replace(note, onset=note.onset - start + now, duration=min(note.end, end) - note.onset)
            for note in tune.line.notes
            if start <= note.onset < end
        ]
        written.append(chart.bars[index])
        now += end - start
    sections = tuple(Section(f"S{n // 8 + 1}", tuple(written[n : n + 8])) for n in range(0, bars, 8))
    return replace(tune, title=f"Tramline, {bars} bars", chart=Chart(sections), line=make_line(notes))


@contextmanager
def running_server(bars: int) -> Iterator[tuple[int, str, float]]:
    """A server over one tune; gives its number, the address to open, and the seconds it took to start."""
    with tempfile.TemporaryDirectory() as space:
        folder = Path(space) / "tunes"
        folder.mkdir()
        save(long_tune(bars), folder / "long.solo")
        script = Path(space) / "serve.py"
        script.write_text(SERVE)
        begun = time.perf_counter()
        command = [sys.executable, str(script), str(folder)]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as server:
            try:
                assert server.stdout is not None
                address = server.stdout.readline().strip()
                yield server.pid, address, time.perf_counter() - begun
            finally:
                server.terminate()
