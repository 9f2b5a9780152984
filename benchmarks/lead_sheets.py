"""How many real scores go the whole way, and how long each stage takes: ``python benchmarks/lead_sheets.py``.

The scores are the 31 lead sheets in the open data, and the MusicXML and ABC files of music21's own
corpus. Each is read, brought into the guitar's range by octaves, fingered, explained and engraved.
*Done* went through; *refused* got the one line that a user gets (a string quartet's double stops,
say, can't be fingered); a *fault* is one of ours, and is printed. ``-v`` prints the refusals too.
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
import time
import traceback
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path

from solowright.errors import InputError
from solowright.files.load import load
from solowright.harmony import read_line
from solowright.music.line import Line
from solowright.music.pitch import Pitch
from solowright.music.tune import Tune
from solowright.neck import apply_path, finger
from solowright.page.engrave import engrave

DATA = Path(os.environ.get("SOLOWRIGHT_DATA", Path(__file__).parents[2] / "shared" / "data"))
STAGES = ("read", "finger", "explain", "page")
HIGHEST_FRET = 22


@dataclass
class Tally:
    """What became of the files of one collection at one stage."""

    refused: int = 0
    faults: int = 0
    seconds: list[float] = field(default_factory=list)  # of each file that went through


def into_range(tune: Tune) -> Tune:
    """The line moved by the octaves that leave the fewest notes off the neck, and the least of them."""
    low, high = min(tune.tuning) + tune.capo, max(tune.tuning) + HIGHEST_FRET
    midis = [note.pitch.midi for note in tune.line.notes]

    def outside(octaves: int) -> tuple[int, int]:
        return sum(not low <= midi + 12 * octaves <= high for midi in midis), abs(octaves)

    octaves = min(range(-4, 5), key=outside)
    if not octaves:
        return tune
    moved = (
        replace(note, pitch=Pitch(note.pitch.tone, note.pitch.octave + octaves), string=None, fret=None)
        for note in tune.line.notes
    )
    return replace(tune, line=Line(tuple(moved)))


def lead_sheets() -> list[Path]:
    return sorted((DATA / "leadsheets").glob("*.mxl"))


def corpus(*suffixes: str) -> list[Path]:
    """The files with these suffixes that music21 carries."""
    from music21 import corpus as carried

    return sorted({Path(path) for path in carried.getPaths(fileExtensions=suffixes)})


@contextmanager
def timed(tally: Tally) -> Iterator[None]:
    """Counts what becomes of one file at one stage."""
    started = time.perf_counter()
    try:
        yield
    except InputError:
        tally.refused += 1
        raise
    except Exception:
        tally.faults += 1
        raise
    tally.seconds.append(time.perf_counter() - started)


def go_the_way(file: Path, tallies: dict[str, Tally]) -> None:
    """Takes one file through all stages, each building on the one before."""
    with timed(tallies["read"]):
        tune = into_range(load(file))
    with timed(tallies["finger"]):
        fingered = apply_path(tune, finger(tune).paths[0])
    with timed(tallies["explain"]):
        reading = read_line(fingered)
    with timed(tallies["page"]):
        engrave(fingered, reading)


def run(files: Sequence[Path], verbose: bool) -> dict[str, Tally]:
    tallies = {stage: Tally() for stage in STAGES}
    for file in files:
        try:
            go_the_way(file, tallies)
        except InputError as error:
            if verbose:
                print(f"refused {file.name}: {error}", file=sys.stderr)
        except Exception:
            print(f"FAULT: {file}", file=sys.stderr)
            traceback.print_exc()
    return tallies


def show(name: str, count: int, tallies: dict[str, Tally]) -> None:
    for stage in STAGES:
        tally = tallies[stage]
        middle = statistics.median(tally.seconds) if tally.seconds else 0.0
        slowest = max(tally.seconds, default=0.0)
        print(
            f"{name:<12}{stage:<10}{len(tally.seconds):>6} of {count:<6}{tally.refused:>8}{tally.faults:>8}"
            f"{sum(tally.seconds):>10.1f}{1000 * middle:>11.1f}{1000 * slowest:>12.0f}"
        )


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--every", type=int, default=1, help="take every Nth file of music21's corpus")
    parser.add_argument("-v", "--verbose", action="store_true", help="print the line of every refusal")
    asked = parser.parse_args()
    collections = {
        "lead sheets": lead_sheets(),
        "MusicXML": corpus(".mxl", ".xml", ".musicxml")[:: asked.every],
        "ABC": corpus(".abc")[:: asked.every],
    }
    counts = f"{'done':>6} {'':<9}{'refused':>8}{'faults':>8}"
    print(f"{'':<12}{'stage':<10}{counts}{'seconds':>10}{'median ms':>11}{'slowest ms':>12}")
    faults = 0
    for name, files in collections.items():
        tallies = run(files, asked.verbose)
        show(name, len(files), tallies)
        faults += sum(tally.faults for tally in tallies.values())
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
