"""MusicXML to a tune: any version, partwise or timewise, plain or compressed (``.mxl``).

One part is read, repeats are played out, and ``<harmony>`` gives the chart. ``<pitch>`` with
``<transpose>`` is what sounds; the octave of a clef is already in the pitch (see ``musicxml_notes``).
What a part doesn't say itself (chords, sections, tempo, jumps) is looked for in the score's first part.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby

from lxml import etree

from solowright.errors import FileError, InputError, Problem
from solowright.files.musicxml_bars import WrittenBar, WrittenPart, read_bars
from solowright.files.musicxml_directions import settle_codas
from solowright.files.musicxml_notes import fill_in
from solowright.files.musicxml_play import play_line
from solowright.files.musicxml_source import Part, Source, one_line, open_source
from solowright.files.repeats import Turn, play_order
from solowright.files.text import Report, title_of
from solowright.music.chart import Bar, Chart, ChordAt, Section
from solowright.music.time import STRAIGHT, ZERO, Feel, TempoMap, Time, steady
from solowright.music.tune import Key, Tune, key_of_signature

FIRST_SECTION = "A"  # what begins the tune where the file names no section there
BEFORE_A = "Intro"  # the same where a section A follows
_GUITAR = re.compile(r"\b(?:guitars?|gtrs?)\b", re.IGNORECASE)
_BASS = re.compile(r"\bbass\b", re.IGNORECASE)
_MINOR_MODES = ("minor", "aeolian", "dorian", "phrygian", "locrian")


def read_musicxml(data: bytes, file: str, part: str | None = None) -> Tune:
    """Reads one part of a score.

    ``part`` is its number from 1, its id or its name; by default the first guitar or tablature part,
    else the first part with notes. Raises FileError with every problem found.
    """
    source = open_source(data, file)
    report = Report(file)
    chosen = _choose_part(source, part)
    written = read_bars(chosen, source, report)
    if written.percussion:
        raise _refuse(source, f"part '{_called(chosen)}' is percussion; choose another of: {_list(source)}")
    written = _complete(written, source, report)
    report.stop()
    return _build_tune(written, source)


def _refuse(source: Source, text: str) -> FileError:
    return FileError((Problem(source.file, 0, 0, one_line(text)),))


def _called(part: Part) -> str:
    return part.name or part.id or str(part.number)


def _list(source: Source) -> str:
    return ", ".join(f"{part.number} {_called(part)}" for part in source.parts[:40])


def _choose_part(source: Source, wanted: str | None) -> Part:
    if not any(part.measures for part in source.parts):
        raise _refuse(source, "the score holds no bars; export it again with its music")
    if wanted is None:
        return _default_part(source)
    names = [(str(part.number), part.id, part.name.lower()) for part in source.parts]
    for place, asked in enumerate((wanted.strip(), wanted.strip(), wanted.strip().lower())):
        for part, name in zip(source.parts, names, strict=True):
            if asked and name[place] == asked:
                return part
    raise _refuse(source, f"there is no part '{wanted}'; choose one of: {_list(source)}")


def _default_part(source: Source) -> Part:
    sounding = [part for part in source.parts if _has(part, "note/pitch") and not _is_percussion(part)]
    if not sounding:
        if any(_has(part, "note/unpitched") for part in source.parts) and not any(
            _has(part, "harmony") for part in source.parts
        ):
            raise _refuse(source, "every part is percussion; a line needs pitches")
        return next(part for part in source.parts if part.measures)
    return next((part for part in sounding if _is_guitar(part)), sounding[0])


def _has(part: Part, path: str) -> bool:
    return any(measure.element.find(path) is not None for measure in part.measures)


def _is_percussion(part: Part) -> bool:
    signs = {
        (sign.text or "").strip()
        for measure in part.measures
        for sign in measure.element.iterfind("attributes/clef/sign")
    }
    return signs == {"percussion"}


def _is_guitar(part: Part) -> bool:
    if _BASS.search(part.name):
        return False
    if _GUITAR.search(part.name) or _has(part, "note/notations/technical/fret"):
        return True
    return any(
        (sign.text or "").strip() == "TAB"
        for measure in part.measures[:1]
        for sign in measure.element.iterfind("attributes/clef/sign")
    )


def _complete(written: WrittenPart, source: Source, report: Report) -> WrittenPart:
    """Takes chords and directions that stand only in another part (scores print them once)."""
    others = [part for part in source.parts if part is not written.part and part.measures]
    needs_chords = not any(bar.chords for bar in written.bars)
    with_chords = next((part for part in others if _has(part, "harmony")), None) if needs_chords else None
    first = next((part for part in source.parts if part.measures), None)
    bars = written.bars
    if first is not None and first is not written.part:
        other = read_bars(first, source, report, with_notes=False).bars
        bars = tuple(map(_merge_directions, bars, other)) + bars[len(other) :]
    if with_chords is not None:
        other = read_bars(with_chords, source, report, with_notes=False).bars
        merged = (replace(bar, chords=model.chords) for bar, model in zip(bars, other, strict=False))
        bars = (*merged, *bars[len(other) :])
    return replace(written, bars=bars)


def _merge_directions(bar: WrittenBar, other: WrittenBar) -> WrittenBar:
    return replace(
        bar,
        length=bar.length if bar.full else other.length,
        signs=fill_in(bar.signs, other.signs),
        direction=fill_in(bar.direction, other.direction),
    )


def _build_tune(written: WrittenPart, source: Source) -> Tune:
    bars = written.bars
    try:
        signs = settle_codas(tuple(bar.direction for bar in bars), tuple(bar.signs for bar in bars))
        turns = play_order(signs)
    except InputError as error:
        raise _refuse(source, str(error)) from None
    chart = _build_chart(bars, turns)
    feel: Feel = next((bar.direction.feel for bar in bars if bar.direction.feel is not None), STRAIGHT)
    return Tune(
        title=_title(source),
        chart=chart,
        line=play_line(written, turns, chart.starts),
        composer=_composer(source),
        key=_sounding_key(bars[0]),
        feel=feel,
        tempo=_tempo(bars, turns, chart.starts),
        tuning=written.tuning,
        capo=written.capo,
    )


def _sounding_key(bar: WrittenBar) -> Key:
    """The key that a bar's signature and mode name, as it sounds; modes like minor are minor keys."""
    minor = bar.mode in _MINOR_MODES
    key = Key(key_of_signature(bar.fifths, minor).tonic.up(bar.transpose), minor)
    # A transposed signature of more than seven flats or sharps is written the other way round.
    return key if abs(key.fifths) <= 7 else key_of_signature((key.fifths + 6) % 12 - 6, minor)


def _is_pickup(bars: Sequence[WrittenBar]) -> bool:
    first = bars[0]
    if first.length > first.meter.length:
        return False
    return first.implicit or first.number == "0" or (first.length < first.meter.length and len(bars) > 1)


def _build_chart(bars: tuple[WrittenBar, ...], turns: tuple[Turn, ...]) -> Chart:
    pickup = _is_pickup(bars)
    named = [index for index, bar in enumerate(bars) if bar.direction.section]
    names = {index: bars[index].direction.section for index in named}
    if pickup and named and named[0] == 1:
        names[0] = names.pop(1)  # an upbeat belongs to the section that it leads into
    elif 0 not in names:
        names[0] = BEFORE_A if FIRST_SECTION in names.values() else FIRST_SECTION
    return Chart(_sections(bars, turns, names, pickup), pickup)


def _sections(
    bars: tuple[WrittenBar, ...], turns: tuple[Turn, ...], names: dict[int, str], pickup: bool
) -> tuple[Section, ...]:
    """Sections as played; equal ones that follow each other are one section played several times."""
    held = _held_chords(bars)
    found: list[tuple[str, list[Bar]]] = []
    for place, turn in enumerate(turns):
        jumped = place > 0 and turn.index != turns[place - 1].index + 1
        bar = _chart_bar(bars[turn.index], held[turn.index] if jumped else None, pickup and place == 0)
        name = names.get(turn.index)
        if name is not None or not found:
            found.append((name or FIRST_SECTION, []))  # without a name only after a jump at the start
        found[-1][1].append(bar)
    sections = [Section(name, tuple(content)) for name, content in found]
    runs = [(section, len(list(group))) for section, group in groupby(sections)]
    return tuple(replace(section, times=times) for section, times in runs)


def _held_chords(bars: tuple[WrittenBar, ...]) -> list[ChordAt | None]:
    """For every written bar that doesn't begin with a chord, the one it holds over; else None."""
    held: list[ChordAt | None] = []
    last: ChordAt | None = None
    for bar in bars:
        begins = bool(bar.chords) and bar.chords[0].offset == 0
        held.append(None if begins else last)
        if bar.chords:
            last = replace(bar.chords[-1], offset=ZERO)
    return held


def _chart_bar(bar: WrittenBar, held: ChordAt | None, upbeat: bool) -> Bar:
    chords = [chord for chord in bar.chords if chord.offset < bar.length]
    if held is not None:
        chords.insert(0, held)
    lead_in = bar.meter.length - bar.length if upbeat else ZERO
    said = bar.direction
    return Bar(
        meter=bar.meter,
        chords=tuple(chords),
        hits=tuple(beat - 1 - lead_in for beat in said.hits),
        pause=said.pause,
        answered=said.answered,
        answer=tuple(beat - 1 - lead_in for beat in said.answer),
        short=None if bar.length == bar.meter.length else bar.length,
    )


def _tempo(bars: tuple[WrittenBar, ...], turns: tuple[Turn, ...], starts: Sequence[Time]) -> TempoMap:
    """Tempo marks as they are met; the first one holds from the beginning."""
    written: list[float | None] = []
    last: float | None = None
    for bar in bars:
        written.append(last)
        if bar.direction.tempos:
            last = bar.direction.tempos[-1][1]
    changes: dict[Time, float] = {}
    for place, (turn, start) in enumerate(zip(turns, starts, strict=False)):
        before = written[turn.index]
        if place and turn.index != turns[place - 1].index + 1 and before is not None:
            changes[start] = before
        changes |= {start + at: bpm for at, bpm in bars[turn.index].direction.tempos}
    marks = sorted(changes.items())
    if not marks:
        return steady(120)
    marks[0] = (ZERO, marks[0][1])
    kept = [mark for index, mark in enumerate(marks) if not index or mark[1] != marks[index - 1][1]]
    return TempoMap(tuple(kept))


def _title(source: Source) -> str:
    root = source.root
    for path in ("work/work-title", "movement-title"):
        title = " ".join((root.findtext(path) or "").split())
        if title:
            return title
    for credit in root.iterfind("credit"):
        if (credit.findtext("credit-type") or "").strip() == "title":
            title = " ".join((credit.findtext("credit-words") or "").split())
            if title:
                return title
    return title_of(source.file)


def _composer(source: Source) -> str:
    creators: list[etree._Element] = source.root.findall("identification/creator")
    for creator in creators:
        if creator.get("type") == "composer" and creator.text:
            return " ".join(creator.text.split())
    return ""
