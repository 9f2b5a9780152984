"""Agreement with people's own fingerings on held-out pieces, beside three plain baselines.

    python benchmarks/agreement.py [--assumed] [--fitting]

Strings are counted on notes that the neck offers in more than one place, fingers on marked fretted
notes. A baseline's fingers follow its frets: one finger a fret, the hand moving as little as it can.
One valid fingering among several: nobody agrees with another player everywhere (``facts``: 59-74 %).
"""

from __future__ import annotations

import argparse
from collections import Counter, defaultdict
from collections.abc import Callable

from human_fingering import Marked, read_marked
from solowright.errors import InputError
from solowright.neck import Effort, Fretboard, Path, Player, Spot, finger

Guess = list[tuple[int, int]]  # string and finger by note
COLUMNS = ("lowest", "nearest", "commonest", "ours", "first 3")


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    options.add_argument("--assumed", action="store_true", help="with the assumed weights")
    options.add_argument("--fitting", action="store_true", help="the pieces fitted to, instead")
    args = options.parse_args()
    player = Player(effort=Effort()) if args.assumed else Player()
    parts = read_marked()
    common = {source: count_common([part for part in parts if part.fitting and part.source == source])
              for source in ("engraved", "played", "printed")}
    hits: dict[tuple[str, str], Counter[str]] = defaultdict(Counter)
    pieces, refused = set(), 0
    for part in parts:
        if part.fitting != args.fitting:
            continue
        try:
            paths = finger(part.tune, part.suit(player), best=3).paths
        except InputError:
            refused += 1
            continue
        pieces.add(part.piece)
        count_hits(part, paths, common[part.source], hits)
    print(f"{len(pieces)} pieces, {refused} parts refused (a grip wider than the hand)")
    print(f"{'':<34}{'marks':>6}" + "".join(f"{name:>10}" for name in COLUMNS))
    for (source, what), row in sorted(hits.items()):
        rates = "".join(f"{100 * row[name] / row['marks']:>10.1f}" for name in COLUMNS)
        print(f"{source + ', ' + what:<34}{row['marks']:>6}{rates}")


def count_hits(
    part: Marked, paths: tuple[Path, ...], common: dict[int, Counter[int]],
    hits: dict[tuple[str, str], Counter[str]],
) -> None:
    source = part.piece if part.source == "played" else part.source
    board = Fretboard(part.tune.tuning)
    ours: list[Guess] = [[(note.string, note.finger) for note in path.notes] for path in paths]
    guesses: dict[str, Guess] = {
        "lowest": guess(part, board, lambda spot, here: spot.fret),
        "nearest": guess(part, board, lambda spot, here: (abs(spot.fret - here), spot.fret)),
        "commonest": guess(
            part, board,
            lambda spot, here: (-common[board.sounds(spot)][spot.string], spot.fret),
        ),
        "ours": ours[0],
    }
    for index, note in enumerate(part.tune.line.notes):
        for place, what, mark in ((0, "strings", part.strings[index]), (1, "fingers", part.fingers[index])):
            if not mark or (what == "strings" and len(board.spots(note.pitch.midi)) < 2):
                continue
            row = hits[source, what]
            row["marks"] += 1
            for name, guessed in guesses.items():
                row[name] += guessed[index][place] == mark
            row["first 3"] += any(path[index][place] == mark for path in ours)


def guess(part: Marked, board: Fretboard, rank: Callable[[Spot, int], object]) -> Guess:
    """Note by note the spot of least rank, given the fret before; fingers one to a fret."""
    guessed, here, position = [], 0, 1
    for note in part.tune.line.notes:
        spot = min(board.spots(note.pitch.midi), key=lambda spot: rank(spot, here))
        here = spot.fret
        position = max(min(position, here), here - 3) if here else position
        guessed.append((spot.string, here - position + 1 if here else 0))
    return guessed


def count_common(parts: list[Marked]) -> dict[int, Counter[int]]:
    """The strings on which people took each pitch, in the pieces of one source fitted to."""
    common: dict[int, Counter[int]] = defaultdict(Counter)
    for part in parts:
        for note, string in zip(part.tune.line.notes, part.strings, strict=True):
            if string:
                common[note.pitch.midi][string] += 1
    return common


if __name__ == "__main__":
    main()
