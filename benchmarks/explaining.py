"""Explaining: speed, roles beside the published corpus figures, and how much devices explain.

Reads every solo of the open jazz data on one core and prints one table:

    python benchmarks/explaining.py

The published figures were counted on another cut of the same database (305 solos in 4/4, a chord
tone being root, third, fifth or seventh), so they should lie near, not match. The share explained
on the same notes shuffled tells how much of an explanation is chance.
"""

from __future__ import annotations

import random
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import replace
from fractions import Fraction

from rich.console import Console
from rich.table import Table

from jazz_solos import Solo, load_solos
from solowright.errors import InputError
from solowright.harmony import Reading, read_line
from solowright.harmony.devices.enclosure import enclosed as enclosed_targets
from solowright.harmony.ground import lay_out
from solowright.music.line import make_line
from solowright.music.tune import Tune
from wrong_charts import move_chart

SEED = 1
Marked = Callable[[str, bool], None]

# From facts published for 305 solos of the database, 111,175 notes; per cent.
PUBLISHED = {
    "chord tones, all notes": 50.9,
    "chord tones on beat 1": 56.8,
    "chord tones on beat 2": 53.1,
    "chord tones on beat 3": 52.2,
    "chord tones on beat 4": 52.3,
    "chord tones on off-beat eighths": 49.2,
    "chord tones that end a phrase": 61.2,
    "non-chord tones left by step": 67.3,
    "chord tones reached by an enclosure": 8.2,
}


def main() -> None:
    """Prints the table."""
    try:
        solos = list(load_solos())
    except InputError as error:
        sys.exit(str(error))
    start = time.process_time()
    readings = [read_line(solo.tune) for solo in solos]
    seconds = time.process_time() - start
    notes = sum(len(reading.notes) for reading in readings)
    table = Table("what", "here", "published", title=f"Explaining {len(solos)} solos, {notes:,} notes")
    table.add_row("seconds on one core", f"{seconds:.1f}", "")
    table.add_row("notes a second", f"{notes / seconds:,.0f}", "", end_section=True)
    _add_shares(table, solos, readings)
    _add_explained(table, solos, readings)
    Console().print(table)


def _add_shares(table: Table, solos: list[Solo], readings: list[Reading]) -> None:
    counts: dict[str, list[int]] = {name: [0, 0] for name in PUBLISHED}

    def mark(name: str, yes: bool) -> None:
        counts[name][0] += yes
        counts[name][1] += 1

    for solo, reading in zip(solos, readings, strict=True):
        if all(bar.meter.beats == 4 for bar in solo.tune.chart.bars):
            _count_solo(solo.tune, reading, mark)
    for name, (yes, all_of_them) in counts.items():
        table.add_row(name, _percent(yes, all_of_them), f"{PUBLISHED[name]} %")
    roles = Counter(note.role for reading in readings for note in reading.notes if note.chord)
    table.add_section()
    for role, count in roles.most_common():
        table.add_row(f"role {role}", _percent(count, roles.total()), "")
    table.add_section()


def _count_solo(tune: Tune, reading: Reading, mark: Marked) -> None:
    line = tune.line.notes
    ground = lay_out(tune)
    enclosed = {ground.events[target].notes[0] for target, _, _ in enclosed_targets(ground)}
    for place, (note, written) in enumerate(zip(reading.notes, line, strict=True)):
        if note.chord is None:
            continue
        inside = note.role in ("chord-tone", "anticipation", "suspension")
        beat = tune.chart.place(written.onset).beat
        following = line[place + 1] if place + 1 < len(line) else None
        mark("chord tones, all notes", inside)
        if beat.denominator == 1:
            mark(f"chord tones on beat {beat}", inside)
        elif beat % 1 == Fraction(1, 2):
            mark("chord tones on off-beat eighths", inside)
        if following is None or following.onset - written.end >= 1:
            mark("chord tones that end a phrase", inside)
        elif not inside:
            mark("non-chord tones left by step", 1 <= abs(following.pitch.midi - written.pitch.midi) <= 2)
        if inside:
            mark("chord tones reached by an enclosure", place in enclosed)


def _add_explained(table: Table, solos: list[Solo], readings: list[Reading]) -> None:
    generator = random.Random(SEED)
    shuffled = [read_line(_shuffle(solo.tune, generator)) for solo in solos]
    table.add_row("notes explained by devices", _explained(readings), "")
    table.add_row("the same notes shuffled", _explained(shuffled), "", end_section=True)
    wrong = [read_line(move_chart(solo.tune, generator.randrange(1, 12))) for solo in solos]
    table.add_row("chords heard from the line alone", _stated(readings), "")
    table.add_row("the same over a wrong chart", _stated(wrong), "")
    table.add_row("the same notes shuffled", _stated(shuffled), "", end_section=True)
    for style in sorted({solo.style for solo in solos}):
        of_style = [reading for solo, reading in zip(solos, readings, strict=True) if solo.style == style]
        table.add_row(f"explained in {style.lower()}", _explained(of_style), "")
    table.add_section()
    real, chance = _kinds(readings), _kinds(shuffled)
    for kind, count in real.most_common():
        table.add_row(f"{kind}, found (shuffled)", f"{count:,} ({chance[kind]:,})", "")


def _stated(readings: Iterable[Reading]) -> str:
    """The share of chords (bar by bar) that are heard from the line alone."""
    statements = [statement for reading in readings for statement in reading.statements]
    return _percent(sum(statement.stated for statement in statements), len(statements))


def _kinds(readings: Iterable[Reading]) -> Counter[str]:
    return Counter(device.kind for reading in readings for device in reading.devices)


def _explained(readings: list[Reading]) -> str:
    notes = sum(len(reading.notes) for reading in readings)
    return _percent(notes - sum(reading.unexplained for reading in readings), notes)


def _percent(part: int, whole: int) -> str:
    return f"{100 * part / whole:.1f} %" if whole else "–"


def _shuffle(tune: Tune, generator: random.Random) -> Tune:
    """The same tune with its pitches dealt anew over the same rhythm."""
    pitches = [note.pitch for note in tune.line.notes]
    generator.shuffle(pitches)
    notes = [replace(note, pitch=pitch) for note, pitch in zip(tune.line.notes, pitches, strict=True)]
    return replace(tune, line=make_line(notes))


if __name__ == "__main__":
    main()
