"""Fits the weights of effort to human choices and writes the package's file.

    python benchmarks/fit_weights.py [--steps N] [-o FILE]

A structured perceptron with margin, after Radisavljevic & Driessen (ICMC 2004): features of the best
path that keeps a person's marks, minus features of the path that is found without them. The cost is
(piecewise) linear in every weight, so the feature of a path is the slope of its cost in that weight.
Weights move in proportion (log scale) from the assumed ones of ``Effort`` and are held to them by
``PULL``: two thousand marks can't carry 17 weights far. Steps are Adagrad's. Data: ``human_fingering``.
"""

from __future__ import annotations

import argparse
import random
from collections import Counter
from dataclasses import replace
from math import exp, sqrt
from multiprocessing import Pool
from pathlib import Path

from human_fingering import Marked, read_marked
from solowright.errors import InputError
from solowright.music.line import make_line
from solowright.music.tune import Tune
from solowright.neck import Effort, Fretboard, Player
from solowright.neck.moments import find_events, make_moments
from solowright.neck.search import DeadEnd, Lattice, find_paths
from solowright.neck.steps import make_steps

FITTED = ("shift", "travel", "stretch", "stretch_mm", "bunch", "barre", "jump", "roll", "spread", "cross",
          "string", "skip", "unison", "height", "thick", "high_open", "muted_gap")
MARGIN = 0.3  # effort by which a wrong mark should be dearer
PULL = 0.04  # back to the assumed weight, for each unit of log weight and mark
KEPT = 0.5  # of the way from the assumed weights to the fitted: the rest fits the few marks, not players
RATE = 0.12
BATCH = {"engraved": 5, "played": 1, "printed": 6}  # parts a step; each source weighs the same
NUDGE = 0.01
FILE = Path(__file__).parents[1] / "src" / "solowright" / "neck" / "weights.toml"


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    options.add_argument("--steps", type=int, default=30)
    options.add_argument("-o", "--output", type=Path, default=FILE)
    args = options.parse_args()
    parts = [part for part in read_marked() if part.fitting and playable(part)]
    marks = sum(count_marks(part) for part in parts)
    pieces = len({part.piece for part in parts})
    print(f"{len(parts)} parts of {pieces} pieces, {marks} marks")
    logs = fit(parts, args.steps)
    args.output.write_text(write_weights(logs, pieces, marks), encoding="utf-8")
    print(f"written to {args.output}")


def count_marks(part: Marked) -> int:
    return sum(each is not None for each in (*part.fingers, *part.strings))


def make_lattice(tune: Tune, player: Player) -> Lattice:
    board = Fretboard(tune.tuning, tune.capo, player.frets, player.scale)
    moments = make_moments(tune, find_events(tune), board, player)
    return Lattice(moments, make_steps(moments))


def price(tune: Tune, player: Player) -> float:
    return find_paths(make_lattice(tune, player), 1)[0].cost


def playable(part: Marked) -> bool:
    """Whether the model's hand can keep the marks at all: the data has misprints, and wider hands."""
    try:
        price(part.locked, part.suit(Player(effort=Effort())))
    except (InputError, DeadEnd):
        return False
    return True


def weigh(logs: dict[str, float]) -> Player:
    prior = Effort()
    return Player(effort=replace(prior, **{name: getattr(prior, name) * exp(u) for name, u in logs.items()}))


def find_rival(part: Marked, player: Player) -> tuple[Tune, float]:
    """The cheapest path where every broken mark is worth a margin, as locks; and the marks it breaks."""
    lattice = make_lattice(part.tune, player)
    fingers, strings = iter(part.fingers), iter(part.strings)
    bonus, moments = [], []
    for moment in lattice.moments:
        marks = [(next(fingers), next(strings)) for _ in moment.hands.wants]
        broken = [
            sum((finger not in (None, used)) + (string not in (None, spot.string))
                for (finger, string), spot, used in zip(marks, hold.spots, hold.fingers, strict=True))
            for hold in moment.hands.holds
        ]
        bonus.append(broken)
        effort = moment.hands.effort - [MARGIN * each for each in broken]
        moments.append(replace(moment, hands=replace(moment.hands, effort=effort)))
    choice = find_paths(replace(lattice, moments=tuple(moments)), 1)[0]
    holds = [m.hands.holds[state] for m, state in zip(lattice.moments, choice.states, strict=True)]
    places = [each for hold in holds for each in zip(hold.spots, hold.fingers, strict=True)]
    notes = [
        replace(note, string=spot.string, fret=spot.fret, finger=finger)
        for note, (spot, finger) in zip(part.tune.line.notes, places, strict=True)
    ]
    wrong = sum(row[state] for row, state in zip(bonus, choice.states, strict=True))
    return replace(part.tune, line=make_line(notes)), wrong


def find_slopes(job: tuple[Marked, dict[str, float]]) -> tuple[float, float, dict[str, float]]:
    """Loss of one part, the marks broken by the rival, and the loss's slope in each log weight."""
    part, logs = job
    player = part.suit(weigh(logs))
    rival, wrong = find_rival(part, player)
    human = part.locked
    here, there = price(human, player), price(rival, player)
    slopes = {}
    for name in FITTED:
        nudged = part.suit(weigh(logs | {name: logs[name] + NUDGE}))
        slopes[name] = ((price(human, nudged) - here) - (price(rival, nudged) - there)) / NUDGE
    return here - there + MARGIN * wrong, wrong, slopes


def fit(parts: list[Marked], steps: int) -> dict[str, float]:
    """Log weights, averaged over the second half of the steps, ``KEPT`` of the way."""
    draw = random.Random(3)
    logs, squares = dict.fromkeys(FITTED, 0.0), dict.fromkeys(FITTED, 1e-6)
    total = dict.fromkeys(FITTED, 0.0)
    with Pool(2) as pool:
        for step in range(steps):
            batch = [part for source, size in BATCH.items()
                     for part in draw.sample([each for each in parts if each.source == source], size)]
            marks = Counter[str]()
            for part in batch:
                marks[part.source] += count_marks(part)
            shares = [1 / marks[part.source] / len(BATCH) for part in batch]
            rows = pool.map(find_slopes, [(part, logs) for part in batch], chunksize=1)
            for name in FITTED:
                slope = sum(share * row[2][name] for share, row in zip(shares, rows, strict=True))
                slope += PULL * logs[name]
                squares[name] += slope * slope
                logs[name] -= RATE * slope / sqrt(squares[name])
                total[name] += logs[name] * (step >= steps // 2)
            loss = sum(share * row[0] for share, row in zip(shares, rows, strict=True))
            print(f"step {step}: loss {loss:.3f} a mark", flush=True)
    return {name: KEPT * value / (steps - steps // 2) for name, value in total.items()}


def write_weights(logs: dict[str, float], pieces: int, marks: int) -> str:
    effort = weigh(logs).effort
    lines = [
        "# Weights of effort fitted to human fingerings by benchmarks/fit_weights.py.",
        f"# {marks} marks in {pieces} pieces: engraved classical guitar in the public domain (Mutopia",
        "# Project), two excerpts of one player of GuitarSet (Xi et al., ISMIR 2018, CC BY 4.0), and",
        "# scales in closed position as handbooks print them (common practice, no source).",
        "# Weights that are not named here stay as assumed in player.py.",
        "",
        *(f"{name} = {getattr(effort, name):.4g}" for name in FITTED),
    ]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    main()
