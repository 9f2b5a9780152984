"""How many of the ABC tunes in music21's corpus are read: ``python benchmarks/abc_corpus.py``.

Prints a row for each collection, and with ``-v`` the problem of each tune that is refused.
"""

from __future__ import annotations

import argparse
import re
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from pathlib import Path

from solowright.errors import FileError, Problem
from solowright.files.abc import read_abc


def tunes(path: Path) -> Iterator[bytes]:
    """Each tune of a file by itself."""
    for text in re.split(rb"(?m)^(?=X:)", path.read_bytes()):
        if text.startswith(b"X:"):
            yield text


def corpus() -> list[Path]:
    """The ABC files that music21 carries."""
    from music21 import corpus as carried

    return sorted(Path(path) for path in carried.getPaths(fileExtensions=(".abc",)))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("-v", "--verbose", action="store_true", help="print why tunes are refused")
    verbose = parser.parse_args().verbose
    counts: dict[str, Counter[str]] = defaultdict(Counter)
    started = time.perf_counter()
    for path in corpus():
        count = counts[path.parent.name]
        for number, text in enumerate(tunes(path), 1):
            count["tunes"] += 1
            remarks: list[Problem] = []
            try:
                tune = read_abc(text, f"{path.name}#{number}", remarks=remarks)
            except FileError as error:
                count["refused"] += 1
                if verbose:
                    print(error)
            else:
                count["read"] += 1
                count["notes"] += len(tune.line.notes)
                count["remarked"] += bool(remarks)
    seconds = time.perf_counter() - started
    print(f"{'collection':<20}{'tunes':>8}{'read':>8}{'refused':>9}{'remarked':>10}{'notes':>10}")
    total: Counter[str] = sum(counts.values(), Counter())
    for name, count in [*counts.items(), ("all", total)]:
        row = [count[column] for column in ("tunes", "read", "refused", "remarked", "notes")]
        print("{:<20}{:>8}{:>8}{:>9}{:>10}{:>10}".format(name, *row))
    print(f"{seconds:.1f} s, {total['notes'] / seconds:,.0f} notes a second")


if __name__ == "__main__":
    sys.exit(main())
