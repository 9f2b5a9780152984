"""The reading from further off: a paragraph for each section and a summary of the solo."""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable

from solowright.harmony.character import find_character
from solowright.harmony.devices.found import RELATIONS
from solowright.harmony.ground import HALF_BAR, Ground
from solowright.harmony.guide_tones import GuideTone
from solowright.harmony.record import Device, NoteReading, SectionReading
from solowright.harmony.section_words import (
    character_sentences,
    devices_sentence,
    line_sentences,
    section_paragraph,
    summary_text,
)
from solowright.harmony.statement import Statement
from solowright.harmony.targets import Target
from solowright.harmony.telling import WORTH

SAYS_CHORD = ("chord-tone", "anticipation")
KINDS = 4  # device kinds that a paragraph or the summary names
PATH = 3  # guide tones that are worth a sentence


def read_sections(
    ground: Ground,
    notes: tuple[NoteReading, ...],
    targets: tuple[Target, ...],
    devices: tuple[Device, ...],
    statements: tuple[Statement, ...],
    guide_tones: tuple[GuideTone, ...],
) -> tuple[SectionReading, ...]:
    """Every section as played in which something is struck."""
    chart = ground.tune.chart
    edges = [index for index, _ in chart.section_starts] + [len(chart.bars)]
    onsets = [event.start for event in ground.events]
    landings = [onsets[target.event] for target in targets]
    sections = []
    for (first, name), stop in zip(chart.section_starts, edges[1:], strict=True):
        start, end = chart.starts[first], chart.starts[stop]
        opens, closes = start * ground.ticks, end * ground.ticks
        if bisect_left(onsets, opens) == bisect_left(onsets, closes):
            continue
        numbers = range(chart.number(first), chart.number(stop - 1) + 1)
        judged = [statement for statement in statements if statement.bar in numbers]
        missed = [
            (heard.bar, heard.chord, heard.missed, heard.passed) for heard in judged if not heard.stated
        ]
        strong = [
            belongs(notes[target.note])
            for target in targets[bisect_left(landings, opens) : bisect_left(landings, closes)]
            if ground.events[target.event].weight >= HALF_BAR and notes[target.note].chord is not None
        ]
        inside = [device for device in devices if start <= device.start < end]
        character = find_character(chart, ground.tune.key, first, stop)
        guides = [guide for guide in guide_tones if start <= guide.time < end]
        text = section_paragraph(name, numbers[0], numbers[-1], [
            *character_sentences(character),
            *line_sentences(
                *count_bars(judged), missed,
                (sum(strong), len(strong)), _longest_path(notes, guides),
            ),
            _devices(ground, inside),
        ])  # fmt: skip
        sections.append(SectionReading(name, numbers[0], numbers[-1], character, text))
    return tuple(sections)


def count_bars(statements: Iterable[Statement]) -> tuple[int, int]:
    """(bars of which every chord is heard from the line alone, bars that are judged)."""
    bars: dict[int, bool] = {}
    for statement in statements:
        bars[statement.bar] = bars.get(statement.bar, True) and statement.stated
    return sum(bars.values()), len(bars)


def _devices(ground: Ground, devices: Iterable[Device]) -> str:
    kinds = _most_told(ground, devices)
    return f"devices: {devices_sentence(kinds)}" if kinds else ""


def _most_told(ground: Ground, devices: Iterable[Device]) -> list[tuple[str, list[int]]]:
    """The kinds that have most to tell, each with its bars, in order of time."""
    chart = ground.tune.chart
    worth: dict[str, float] = defaultdict(float)
    bars: dict[str, list[int]] = defaultdict(list)
    for device in devices:
        if device.kind in WORTH and device.kind not in RELATIONS:
            worth[device.kind] += device.saved + WORTH[device.kind]
            bars[device.kind].append(chart.place(device.start).bar)
    best = sorted(worth, key=lambda kind: -worth[kind])[:KINDS]
    return [(kind, bars[kind]) for kind in sorted(best, key=lambda kind: bars[kind][0])]


def _longest_path(notes: tuple[NoteReading, ...], guides: list[GuideTone]) -> list[tuple[str, str, str]]:
    """The longest run of guide tones that lead to each other, over different chords."""
    best: list[GuideTone] = []
    row: list[GuideTone] = []
    for guide in guides:
        row = [*row, guide] if guide.move is not None and row else [guide]
        if len(row) > len(best):
            best = row
    if len(best) < PATH or len({guide.chord for guide in best}) < PATH:
        return []
    return [(notes[guide.note].pitch.tone.name, guide.degree, guide.chord) for guide in best]


def belongs(note: NoteReading) -> bool:
    """Whether a note says its chord: by its role, or because the symbol itself writes it (13, ♯9)."""
    return note.role in SAYS_CHORD or (note.chord is not None and note.degree in note.chord.degrees)


def summarise(
    ground: Ground,
    notes: tuple[NoteReading, ...],
    targets: tuple[Target, ...],
    devices: tuple[Device, ...],
    statements: tuple[Statement, ...],
) -> str:
    """The summary of the solo."""
    chart = ground.tune.chart
    ends = [target for target in targets if target.ends and notes[target.note].chord is not None]
    hits = [
        bar
        for device in devices
        if device.kind in ("band-hit", "slide-into-hit")
        for bar in range(chart.place(device.start).bar, chart.place(device.end).bar + 1)
    ]
    return summary_text(
        len(chart.bars),
        len(notes),
        _most_told(ground, devices),
        *count_bars(statements),
        (sum(belongs(notes[target.note]) for target in ends), len(ends)),
        hits,
        len({place for device in devices if device.kind not in RELATIONS for place in device.notes})
        / max(1, len(notes)),
    )
