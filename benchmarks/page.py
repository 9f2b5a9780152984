"""Time and memory of the page: ``python benchmarks/page.py`` prints one table.

A tune of swung eighths with chords, fingers, slurs and two sentences in every four bars, at 8, 64
and 256 bars. Each figure is the best of three runs; the first run, with nothing loaded, is apart.
"""

from __future__ import annotations

import resource
from collections.abc import Callable
from fractions import Fraction
from time import perf_counter

from rich.console import Console
from rich.table import Table

start = perf_counter()
from solowright.harmony.reading import Reading, Sentence  # noqa: E402
from solowright.music.chart import Bar, Chart, ChordAt, Section  # noqa: E402
from solowright.music.chord import parse_chord  # noqa: E402
from solowright.music.line import Note, make_line  # noqa: E402
from solowright.music.pitch import plain  # noqa: E402
from solowright.music.time import SWING, ZERO, steady  # noqa: E402
from solowright.music.tune import STANDARD_TUNING, Tune  # noqa: E402
from solowright.page.booklet import booklet  # noqa: E402
from solowright.page.engrave import engrave  # noqa: E402

IMPORTS = perf_counter() - start

CHORDS = ("Am7", "D13b9", "Gmaj7", "C#m7b5")
FIGURE = ((3, 5, 1), (3, 7, 3), (2, 5, 1), (2, 8, 4), (1, 5, 1), (1, 8, 4), (2, 8, 4), (2, 5, 1))
TEXT = "The arpeggio from the third states the chord by itself and lands on the ♭9 of the next bar."


def tune_of(bars: int) -> tuple[Tune, Reading]:
    written = tuple(Bar(chords=(ChordAt(ZERO, parse_chord(CHORDS[n % 4])),)) for n in range(bars))
    notes = []
    for n in range(8 * bars):
        string, fret, finger = FIGURE[n % 8]
        entry = "hammer" if n % 8 == 1 else "pull" if n % 8 == 7 else "pick"
        pitch = plain(STANDARD_TUNING[string - 1] + fret)
        notes.append(Note(pitch, Fraction(n, 2), Fraction(1, 2), string, fret, finger, entry))
    told = tuple(Sentence(TEXT, Fraction(4 * n), Fraction(4 * n + 5)) for n in range(0, bars - 1, 2))
    sections = tuple(Section("A", written[first : first + 8]) for first in range(0, bars, 8))
    tune = Tune("Benchmark", Chart(sections), make_line(notes), feel=SWING, tempo=steady(180))
    return tune, Reading((), (), (), 0, told)


def time_of(work: Callable[[Tune, Reading], object], tune: Tune, reading: Reading) -> float:
    begun = perf_counter()
    work(tune, reading)
    return perf_counter() - begun


def main() -> None:
    table = Table("bars", "first engrave, s", "engrave, s", "booklet, s", "PDF, KiB", "peak, MiB")
    for bars in (8, 64, 256):
        tune, reading = tune_of(bars)
        first = time_of(engrave, tune, reading)
        times = [min(time_of(work, tune, reading) for _ in range(3)) for work in (engrave, booklet)]
        size = len(booklet(tune, reading)) / 1024
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        figures = [f"{figure:.2f}" for figure in (first, *times)]
        table.add_row(str(bars), *figures, f"{size:.0f}", f"{peak:.0f}")
    Console().print(table, f"imports {IMPORTS:.2f} s")


if __name__ == "__main__":
    main()
