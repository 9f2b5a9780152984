"""A Line as tablature under a count row, as a guitarist types it; tab_read.py reads it back equal.

Here the notes are put into columns of the bars, and bars into systems; tab_layout.py spaces a bar.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise

from solowright.files.chart_write import section_name
from solowright.files.tab_count import write_counts
from solowright.files.tab_layout import Column, Spaced, space_bar
from solowright.files.tab_marks import HARMONIC_NODES, can_write, write_head, write_lead, write_tail
from solowright.files.tab_system import UNDER_ROWS
from solowright.music.chart import Chart
from solowright.music.line import Note
from solowright.music.pitch import plain
from solowright.music.spelling import spell_note
from solowright.music.time import Time
from solowright.music.tune import Tune

WIDTH = 100  # columns of a system, unless one bar alone is wider
LONGEST_GAP = 2  # silent bars that are still written out

_PICKS = {None: "*", "down": "d", "up": "u"}


@dataclass(slots=True)
class _Place:
    """What a bar holds at one count: grace notes, each in a column, and what is struck."""

    graces: list[Column] = field(default_factory=list)
    struck: Column = field(default_factory=Column)


def fits_tab(tune: Tune) -> bool:
    """Whether tablature can say all of the tune's line; ABC is the way for other lines."""
    chart = tune.chart
    if not all(can_write(note) and _sounds_right(note, tune) for note in tune.line.notes):
        return False
    events = list(tune.line.events())
    for event, after in pairwise([*events, None]):
        assert event is not None
        if len({note.string for note in event}) < len(event):
            return False
        if (
            event[0].onset < 0
            or max(note.end for note in event) > chart.length
            or event[0].onset == chart.length
        ):
            return False
        if event[0].grace and (after is None or after[0].onset != event[0].onset):
            return False
    return all(_entry_possible(note, before) for note, before in _leading_in(tune, _find_runs(tune)))


def write_tab(tune: Tune) -> list[str]:
    """The lines of tablature for a line that ``fits_tab``."""
    chart = tune.chart
    runs = _find_runs(tune)
    places = _place_notes(tune, runs)
    starts = dict(chart.section_starts)
    bars = {index: _space(places.get(index, {}), chart, index) for run in runs for index in run}
    lines: list[str] = []
    for run in runs:
        for system in _into_systems(run, starts, bars):
            label = f"bar {chart.number(system[0])}"
            section = starts.get(system[0])
            lines += ["", f"{label} [{section_name(section)}]" if section else label]
            lines += _write_system([bars[index] for index in system], tune.tuning)
    return lines


def _sounds_right(note: Note, tune: Tune) -> bool:
    assert note.string is not None and note.fret is not None
    if not 1 <= note.string <= len(tune.tuning):
        return False
    return note.entry == "harmonic" or note.pitch.midi == tune.tuning[note.string - 1] + tune.capo + note.fret


def _entry_possible(note: Note, before: Note | None) -> bool:
    if before is None or note.fret is None or before.fret is None:
        return True
    return not (
        (note.entry == "hammer" and note.fret <= before.fret)
        or (note.entry == "pull" and note.fret >= before.fret)
    )


def _find_runs(tune: Tune) -> list[range]:
    """Stretches of bars to write out: where the line sounds, with short gaps closed."""
    chart = tune.chart
    active: set[int] = set()
    for note in tune.line.notes:
        first, last = chart.bar_index(note.onset), chart.bar_index(note.end)
        if last > first and note.end <= chart.starts[last]:
            last -= 1
        active.update(range(first, last + 1))
    runs: list[range] = []
    for index in sorted(active):
        if runs and index - runs[-1].stop <= LONGEST_GAP:
            runs[-1] = range(runs[-1].start, index + 1)
        else:
            runs.append(range(index, index + 1))
    return runs


def _default_ends(tune: Tune, runs: list[range]) -> dict[Time, Time]:
    """By onset: where a note ends that nothing is said about."""
    chart = tune.chart
    onsets = sorted({note.onset for note in tune.line.notes if not note.grace})
    ends = {}
    for number, onset in enumerate(onsets, start=1):
        run = next(run for run in runs if chart.bar_index(onset) in run)
        ends[onset] = min([chart.starts[run.stop], *onsets[number : number + 1]])
    return ends


def _leading_in(tune: Tune, runs: list[range]) -> Iterator[tuple[Note, Note | None]]:
    """Every note with the one that rings up to it on its string, if it was struck just before."""
    ends = _default_ends(tune, runs)
    for before, event in pairwise([(), *tune.line.events()]):
        for note in event:
            yield (
                note,
                next(
                    (
                        other
                        for other in before
                        if other.string == note.string
                        and _rings_on(other, ends)
                        and _same_run(other, note, tune.chart, runs)
                    ),
                    None,
                ),
            )


def _rings_on(note: Note, ends: dict[Time, Time]) -> bool:
    """Whether no comma ends the note."""
    return note.grace or note.end >= ends[note.onset]


def _same_run(first: Note, second: Note, chart: Chart, runs: list[range]) -> bool:
    return any(chart.bar_index(first.onset) in run and chart.bar_index(second.onset) in run for run in runs)


def _place_notes(tune: Tune, runs: list[range]) -> dict[int, dict[Time, _Place]]:
    """What stands in each bar, by its offset there."""
    chart = tune.chart
    places: dict[int, dict[Time, _Place]] = {}

    def place(time: Time) -> _Place:
        index = chart.bar_index(time)
        return places.setdefault(index, {}).setdefault(time - chart.starts[index], _Place())

    ends = _default_ends(tune, runs)
    for note, before in _leading_in(tune, runs):
        assert note.string is not None
        at = place(note.onset)
        lasts = note.duration if not note.grace and note.end > ends[note.onset] else None
        signs = (write_lead(note, _slide_sign(note, before)), write_head(note), write_tail(note, lasts))
        if note.grace:
            at.graces.append(Column(strings={note.string: signs}))
        else:
            at.struck.strings[note.string] = signs
        if not _rings_on(note, ends):
            place(note.end).struck.strings[note.string] = ("", ",", "")
    graces_seen: dict[Time, int] = {}
    for event in tune.line.events():
        at = place(event[0].onset)
        column = at.struck
        if event[0].grace:
            number = graces_seen.get(event[0].onset, 0)
            graces_seen[event[0].onset], column = number + 1, at.graces[number]
        column.under = _write_under(event, tune)
    return places


def _slide_sign(note: Note, before: Note | None) -> str:
    """The sign for a slide into the note: ``/`` or ``\\`` from the note before, else ``s``."""
    if before is None or note.fret is None or before.fret is None or note.fret == before.fret:
        return "s"
    return "/" if note.fret > before.fret else "\\"


def _write_under(event: tuple[Note, ...], tune: Tune) -> dict[str, str]:
    """The words below what is struck together, from the high string down."""
    notes = sorted(event, key=lambda note: note.string or 0)
    words = {
        "fingers": ["." if note.finger is None else str(note.finger) for note in notes],
        "picks": [_PICKS[note.stroke] if note.entry == "pick" else "." for note in notes],
        "names": [_name(note, tune) or "." for note in notes],
    }
    return {
        row: ("+" if row == "names" else "").join(signs)
        for row, signs in words.items()
        if set(signs) != {"."}
    }


def _name(note: Note, tune: Tune) -> str:
    """The note's name where a reader would not give it the same pitch."""
    assert note.string is not None and note.fret is not None
    chord = tune.chart.chord_at(note.onset)
    if note.entry == "harmonic":
        above = HARMONIC_NODES.get(note.fret)
        midi = None if above is None else tune.tuning[note.string - 1] + tune.capo + above
        return "" if midi is not None and spell_note(midi, tune.key, chord) == note.pitch else note.pitch.name
    return "" if spell_note(note.pitch.midi, tune.key, chord) == note.pitch else note.pitch.tone.name


def _space(places: dict[Time, _Place], chart: Chart, index: int) -> Spaced:
    """One bar, spaced, with a count over everything in it."""
    columns: list[Column] = []
    for offset, word in write_counts(chart.bars[index], chart.lead_in(index), places):
        place = places.get(offset, _Place())
        place.struck.count = word
        columns += [*place.graces, place.struck]
    return space_bar(columns)


def _into_systems(run: range, section_starts: dict[int, str], bars: dict[int, Spaced]) -> list[list[int]]:
    """Bars side by side as far as they fit; every section begins a system."""
    systems: list[list[int]] = []
    width = 0
    for index in run:
        if not systems or index in section_starts or width + bars[index].width > WIDTH:
            systems.append([])
            width = 0
        systems[-1].append(index)
        width += bars[index].width + 1
    return systems


def _write_system(bars: list[Spaced], tuning: tuple[int, ...]) -> list[str]:
    """The rows of bars side by side."""
    names = [plain(midi, True).tone.name for midi in tuning]
    names[0] = names[0].lower()  # the high string, as it is typed in the trade
    under = [row for row in UNDER_ROWS if any(row in bar.under for bar in bars)]
    margin = max(map(len, [*names, *under]))
    lines = [" " * (margin + 1) + " ".join(bar.count.ljust(bar.width) for bar in bars)]
    for string, name in enumerate(names, start=1):
        cells = "|".join(bar.strings.get(string, "").ljust(bar.width, "-") for bar in bars)
        lines.append(f"{name.rjust(margin)}|{cells}|")
    for row in under:
        words = " ".join(bar.under.get(row, "").ljust(bar.width) for bar in bars)
        lines.append(f"{row.ljust(margin)} {words}")
    return [line.rstrip() for line in lines]
