"""Fingering measured: speed and habits over jazz solos, and agreement with a guitarist's own strings.

    python benchmarks/fingering.py [--solos N] [--best K]

Speed and habits: the solos of ``wjd``, moved by octaves into the range of the neck, notes that still
stick out moved one by one. Published habits beside ours are those of a corpus of 8.1 million notes of
tablature, chords included (unreviewed figures). Agreement: the ``guitarset`` excerpts (ISMIR 2018,
CC BY 4.0), counted on notes that the neck offers in more than one place. 562 notes are a check against
regressions, not statistics. Data: ``../shared/data`` or SOLOWRIGHT_DATA.
"""

from __future__ import annotations

import argparse
import csv
import gc
import os
import sys
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from statistics import median
from time import process_time

from jazz_solos import load_solos
from solowright.cli import NEW_OBJECTS
from solowright.music.chart import Bar, Chart, Section
from solowright.music.line import Note, make_line
from solowright.music.pitch import plain
from solowright.music.time import steady
from solowright.music.tune import STANDARD_TUNING, Tune
from solowright.neck import Spot, finger, places_of, solve, solve_after

DATA = Path(os.environ.get("SOLOWRIGHT_DATA", Path(__file__).parents[2] / "shared" / "data"))
LOW, HIGH = STANDARD_TUNING[-1], STANDARD_TUNING[0] + 22
TOGETHER = 0.03  # seconds between the strings of one strum
PUBLISHED_STRING = {0: 96.6, 1: 76.6, 2: 63.0, 3: 18.7, 5: 2.6}


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    options.add_argument("--solos", type=int, default=0, help="only the first N solos")
    options.add_argument("--best", type=int, default=1, help="paths a solo")
    args = options.parse_args()
    if not (DATA / "wjd").is_dir():
        sys.exit(f"no data at {DATA}; set SOLOWRIGHT_DATA to the folder that holds wjd and guitarset")
    solos = list(read_solos())[: args.solos or None]
    gc.freeze()  # the collector need not look through the data again and again
    gc.set_threshold(NEW_OBJECTS)  # and looks as rarely as in the commands
    print_speed_and_habits(solos, args.best)
    print_edits(next(iter(cut for cut in map(cut_to_64_bars, solos) if len(cut.line.notes) > 500)))
    print_agreement()


def make_tune(notes: list[Note], bpm: float) -> Tune:
    bars = (Bar(),) * (int(max(note.end for note in notes) // 4) + 1)
    return Tune("", Chart((Section("", bars),)), make_line(notes), tempo=steady(bpm))


def read_solos() -> Iterator[Tune]:
    """The jazz solos at their average tempo, in the guitar's range."""
    with (DATA / "wjd" / "solos.csv").open(encoding="utf-8") as file:
        tempo = {int(row["melid"]): float(row["avgtempo"]) for row in csv.DictReader(file)}
    for solo in load_solos():
        notes = solo.tune.line.notes
        pitches = to_range([note.pitch.midi for note in notes])
        moved = [replace(note, pitch=plain(pitch)) for note, pitch in zip(notes, pitches, strict=True)]
        yield replace(solo.tune, line=make_line(moved)).at_tempo(tempo[solo.number])


def to_range(pitches: list[int]) -> list[int]:
    """The octave that keeps most notes on the neck, then single notes by octaves."""

    def outside(octave: int) -> tuple[int, int]:
        return sum(not LOW <= pitch + octave <= HIGH for pitch in pitches), abs(octave)

    octave = min((-24, -12, 0, 12, 24), key=outside)
    moved = []
    for pitch in pitches:
        pitch += octave
        while pitch < LOW:
            pitch += 12
        while pitch > HIGH:
            pitch -= 12
        moved.append(pitch)
    return moved


def print_speed_and_habits(solos: list[Tune], best: int) -> None:
    same, pairs, moved, entries = Counter(), Counter(), Counter(), Counter()
    low_frets, fast, notes, spent, longest = 0, 0, 0, 0.0, 0.0
    for tune in solos:
        begin = process_time()
        path = finger(tune, best=best).paths[0]
        took = process_time() - begin
        spent, longest, notes = spent + took, max(longest, took), notes + len(path.notes)
        fast += path.limit_tempo < tune.tempo.first
        low_frets += sum(placed.fret <= 9 for placed in path.notes)
        entries.update(placed.entry for placed in path.notes)
        for one, two in zip(path.notes, path.notes[1:], strict=False):
            interval = abs(two.note.pitch.midi - one.note.pitch.midi)
            pairs[interval] += 1
            same[interval] += one.string == two.string
            gap = abs(two.fret - one.fret)
            moved["0-2" if gap <= 2 else "3-5" if gap <= 5 else "6+"] += 1
    print(f"{len(solos)} solos, {notes:,} notes: {notes / spent:,.0f} notes a CPU second, best of {best} "
          f"(longest solo {longest:.2f} s); beyond the hand at their tempo: {fast} solos")
    print("\nhabit                               ours   published")
    for interval, published in PUBLISHED_STRING.items():
        rate = 100 * same[interval] / max(1, pairs[interval])
        print(f"same string, {interval} semitones          {rate:6.1f} %   {published:5.1f} %")
    for name, published in (("0-2", 79.0), ("3-5", 16.4), ("6+", 4.6)):
        rate = 100 * moved[name] / moved.total()
        print(f"fret movement {name:<4}               {rate:6.1f} %   {published:5.1f} %")
    print(f"frets 0-9                         {100 * low_frets / notes:6.1f} %    86.0 %")
    print("entries: " + ", ".join(f"{name} {100 * n / notes:.1f} %" for name, n in entries.most_common()))


def cut_to_64_bars(tune: Tune) -> Tune:
    return replace(tune, line=make_line([note for note in tune.line.notes if note.onset < 256]))


def print_edits(tune: Tune) -> None:
    """Single notes moved a half step in a 64-bar solo, each time worked out again after the first."""
    solved = solve(tune)
    times, notes = [], tune.line.notes
    for index in range(0, len(notes), len(notes) // 20):
        pitch = plain(max(LOW, notes[index].pitch.midi - 1))
        changed = make_line([*notes[:index], replace(notes[index], pitch=pitch), *notes[index + 1 :]])
        edited = replace(tune, line=changed)
        begin = process_time()
        solve_after(solved, edited)
        times.append(1000 * (process_time() - begin))
    print(f"\nan edit in 64 bars ({len(notes)} notes): median {median(times):.0f} CPU ms, "
          f"longest {max(times):.0f} ms")


def read_guitarset() -> dict[str, list[tuple[Note, Spot]]]:
    """Excerpt → notes with the place they were played at; strums are gathered to one onset."""
    excerpts = defaultdict(list)
    with (DATA / "guitarset" / "notes.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            excerpts[row["excerpt"]].append(row)
    played = {}
    for name, rows in excerpts.items():
        bpm, start, notes = tempo_of(name), -1.0, []
        taken: set[str] = set()
        for row in sorted(rows, key=lambda row: float(row["onset"])):
            if float(row["onset"]) - start > TOGETHER or row["string"] in taken:
                start, taken = float(row["onset"]), set()
            taken.add(row["string"])
            onset = Fraction(start * bpm / 60).limit_denominator(480)
            lasts = max(Fraction(1, 32), Fraction(float(row["duration"]) * bpm / 60).limit_denominator(480))
            note = Note(plain(round(float(row["pitch"]))), onset, lasts)
            notes.append((note, Spot(int(row["string"]), int(row["fret"]))))
        ordered = sorted(notes, key=lambda each: (each[0].onset, -each[0].pitch.midi))
        played[name] = [each for each in ordered if each[1] in places_of(each[0].pitch.midi)]
    return played


def tempo_of(excerpt: str) -> float:
    return float(excerpt.split("-")[1])


def print_agreement() -> None:
    played = read_guitarset()
    print(f"\n{'same string as the player (ambiguous)':<40}{'notes':>6}{'lowest':>8}{'nearest':>8}"
          f"{'commonest':>10}{'ours':>8}{'first 3':>8}")
    for name, notes in played.items():
        human = [spot for _, spot in notes]
        # Strums overlap with what rings on in this data; the line's notes end where the next begins.
        found = finger(make_tune([note for note, _ in notes], tempo_of(name)), best=3).paths
        ours = [[Spot(placed.string, placed.fret) for placed in path.notes] for path in found]
        pitches = [note.pitch.midi for note, _ in notes]
        rest = [each for other, kept in played.items() if other != name for each in kept]
        columns = [lowest_fret(pitches), nearest(pitches), commonest(pitches, rest), ours[0]]
        unclear = [index for index, pitch in enumerate(pitches) if len(places_of(pitch)) > 1]
        rates = [sum(guess[index] == human[index] for index in unclear) for guess in columns]
        rates.append(max(sum(path[index] == human[index] for index in unclear) for path in ours))
        percent = [100 * hits / len(unclear) for hits in rates]
        print(f"{name:<40}{len(unclear):>6}{percent[0]:>8.1f}{percent[1]:>8.1f}{percent[2]:>10.1f}"
              f"{percent[3]:>8.1f}{percent[4]:>8.1f}")
    print("commonest: for that pitch in the other excerpts; first 3: the best of 3 paths")


def lowest_fret(pitches: list[int]) -> list[Spot]:
    return [min(places_of(pitch), key=lambda spot: spot.fret) for pitch in pitches]


def nearest(pitches: list[int]) -> list[Spot]:
    chosen: list[Spot] = []
    for pitch in pitches:
        here = chosen[-1].fret if chosen else 0
        chosen.append(min(places_of(pitch), key=lambda spot: (abs(spot.fret - here), spot.fret)))
    return chosen


def commonest(pitches: list[int], others: list[tuple[Note, Spot]]) -> list[Spot]:
    seen: dict[int, Counter[Spot]] = defaultdict(Counter)
    for note, spot in others:
        seen[note.pitch.midi][spot] += 1
    plainest = lowest_fret(pitches)
    return [
        seen[pitch].most_common(1)[0][0] if pitch in seen else plainest[index]
        for index, pitch in enumerate(pitches)
    ]


if __name__ == "__main__":
    main()
