"""Planted devices: how many of each kind the reading finds again, and how many it finds rightly.

Lines with one known device each, in all keys over random changes with ornaments and rests, from
``planting``; prints one table and below it the misses, each with what was found in its place:

    python benchmarks/planted.py [lines of each kind]

Found is a device of the same kind with seven tenths of the planted notes and its facts (the triad,
the scale, the interval); right is one that stands where one of its kind was planted.
"""

from __future__ import annotations

import sys
from collections import Counter

from rich.console import Console
from rich.table import Table

from planting import PLANTERS, score

LINES = 200
SEED = 1


def main() -> None:
    """Prints the table and the misses."""
    lines = int(sys.argv[1]) if len(sys.argv) > 1 else LINES
    results, misses = score(list(PLANTERS), lines, SEED)
    table = Table("device", "planted", "recall", "found", "precision")
    for kind, (planted, again, found, right) in results.items():
        precision = f"{right / found:.3f}" if found else "–"
        table.add_row(kind, str(planted), f"{again / planted:.3f}", str(found), precision)
    console = Console()
    console.print(table)
    for (kind, there), count in sorted(Counter((miss.kind, there) for miss, there in misses).items()):
        console.print(f"{kind}: {count} missed, found there: {there}")


if __name__ == "__main__":
    main()
