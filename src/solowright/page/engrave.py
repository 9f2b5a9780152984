"""Engraving: a tune, with its reading, to systems of notation over tablature."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from solowright.errors import InputError
from solowright.harmony.record import Sentence
from solowright.music.notation import notate
from solowright.music.time import Time
from solowright.music.tune import Tune
from solowright.page.breaks import find_lines
from solowright.page.drawing import GREY, Box, Mark, around, bottom_under, line, write_svg
from solowright.page.over import Places, draw_over
from solowright.page.passage import Cut, Passage, Whole
from solowright.page.score import Score, write_score
from solowright.page.staff import KEPT, SPACE, Staff, lay_out
from solowright.page.tablature import Tablature, draw_tablature
from solowright.page.under import Reason, draw_reasons

if TYPE_CHECKING:
    from solowright.harmony.reading import Reading

WIDTH = 500.0  # points: A4 with margins of 48
_BETWEEN = 13.0  # least room between the two staves
_HEAD = 6.0  # width of a notehead
_THIN, _BARLINE, _THICK = 0.35, 0.6, 2.4


@dataclass(frozen=True, slots=True)
class NotePlace:
    """Where a note of the line stands, by its index: the notehead, and the fret if one is known."""

    index: int
    head: Box
    fret: Box | None


@dataclass(frozen=True, slots=True)
class System:
    """One line of the page. Lengths in points from the top left corner of its SVG.

    ``first`` and ``last`` are the numbers of its bars; ``bars`` holds (number, left, right).
    ``marks`` are everything drawn around the notes, with the boxes that their ink takes. ``spots`` tell
    where written times stand: the left edge of what is struck then, in order, to the last barline.
    """

    first: int
    last: int
    svg: str
    width: float
    height: float
    bars: tuple[tuple[int, float, float], ...]
    notes: tuple[NotePlace, ...]
    marks: tuple[Mark, ...]
    spots: tuple[tuple[Time, float], ...] = ()


def engrave(tune: Tune, reading: Reading | None = None, width: float = WIDTH) -> tuple[System, ...]:
    """Systems of notation over tablature, ``width`` points wide, reasons under their bars.

    Raises InputError, with bar and beat, where a rhythm can't be written.
    """
    if not tune.chart.bars:
        return ()
    whole = Whole(tune)
    try:
        lines = find_lines(whole, width)
    except InputError:
        notate(tune)  # tells the bar by its number in the whole tune
        raise
    sentences = find_reasons(reading) if reading else ()
    begins = [float(sentence.start) for sentence in sentences]
    stops = [*(line.first for line in lines[1:]), len(tune.chart.bars)]
    systems = []
    for each, stop in zip(lines, stops, strict=True):
        cut = whole.cut(each.first, stop)
        system = _set_system(cut.passage, each.spacing, width, _here(cut, sentences, begins))
        notes = tuple(
            NotePlace(place.index + cut.note, place.head, place.fret) for place in system.notes
        )
        spots = tuple((time + cut.start, x) for time, x in system.spots)
        systems.append(replace(system, notes=notes, spots=spots))
    return tuple(systems)


def _here(cut: Cut, sentences: Sequence[Sentence], begins: Sequence[float]) -> tuple[Sentence, ...]:
    """The sentences that begin in a passage's bars, in its time. ``begins`` has the starts of them all, in
    order: quicker to compare than exact times."""
    chart, before = cut.passage.tune.chart, cut.passage.before
    start = cut.start + chart.starts[before]
    end = cut.start + chart.starts[before + cut.passage.count]
    return tuple(
        replace(sentence, start=sentence.start - cut.start, end=min(sentence.end, end + 1) - cut.start)
        for sentence in sentences[bisect_left(begins, float(start)) : bisect_left(begins, float(end))]
        if sentence.text.strip()
    )


def find_reasons(reading: Reading) -> tuple[Sentence, ...]:
    """What stands under brackets: the sentences, and the short names of the devices they leave out."""
    told = {sentence.text for sentence in reading.sentences}
    named = [
        Sentence(device.short, device.start, device.end)
        for device in reading.devices
        if device.short and device.sentence not in told
    ]
    return tuple(sorted([*reading.sentences, *named], key=lambda reason: (reason.start, -reason.end)))


@lru_cache(KEPT)
def _set_system(passage: Passage, spacing: float, width: float, sentences: tuple[Sentence, ...]) -> System:
    """A passage as a system; the indices of its notes count from the passage's first."""
    score = write_score(passage)
    return _draw(score, lay_out(score, spacing, width - 1.0), width, sentences)


def _draw(score: Score, staff: Staff, width: float, sentences: Sequence[Sentence]) -> System:
    right = staff.right
    places = Places(score, staff)
    tab = draw_tablature(score, staff)
    drop = _drop(staff, tab)
    bottom = drop + tab.height
    upper = list(staff.ink)
    over = draw_over(score, staff, upper, right, places)
    tab_marks = [mark.moved(0.0, drop) for mark in (*tab.marks, *tab.fingers)]
    below = max([bottom, *(mark.box.bottom for mark in tab_marks)])
    reasons = draw_reasons(_reasons(score, staff, places, sentences), below + 1.0, right)
    marks = [
        *staff_lines(right),
        *staff.marks,
        *barlines(score, staff, bottom),
        *over,
        *tab_marks,
        *reasons,
    ]
    extent = around([mark.box for mark in marks])
    top, foot = extent.top - 1.0, extent.bottom + 1.0
    first, last = score.number(staff.bars[0][0]), score.number(staff.bars[-1][0])
    title = f"bars {first} to {last}" if last > first else f"bar {first}"
    svg = write_svg(marks, width, top, foot, f"b{first}-", title)
    return System(
        first,
        last,
        svg,
        width,
        foot - top,
        tuple((score.number(bar), left, end) for bar, left, end in staff.bars),
        tuple(_note_places(staff, tab, drop, top)),
        tuple(mark.moved(0.0, -top) for mark in (*over, *tab_marks, *reasons)),
        places.spots,
    )


def _note_places(staff: Staff, tab: Tablature, drop: float, top: float) -> Iterator[NotePlace]:
    for place in tab.places:
        head = staff.heads.get(f"n{place.index}")
        if head:
            fret = place.box.moved(0.0, drop - top) if place.box else None
            yield NotePlace(place.index, head.moved(0.0, -top), fret)


def _drop(staff: Staff, tab: Tablature) -> float:
    """How far the tablature's top line stands under the notation's, so that nothing between meets."""
    drop = 4 * SPACE + _BETWEEN
    inked = [box for box in staff.ink if box.bottom > 4 * SPACE]
    for mark in tab.marks:
        low = bottom_under(inked, mark.box.left - 1.0, mark.box.right + 1.0, 0.0)
        drop = max(drop, low + 3.0 - mark.box.top)
    return max(drop, 4 * SPACE + 4.0 - min(mark.box.top for mark in tab.marks))


def staff_lines(right: float) -> list[Mark]:
    """The five lines of the notation."""
    return [line("staff-line", 0.0, row * SPACE, right, row * SPACE, _THIN, GREY) for row in range(5)]


def barlines(score: Score, staff: Staff, bottom: float) -> list[Mark]:
    """Through both staves: single, double before a section, final at the end; and the line that
    joins the staves on the left."""
    sections = {index for index, _ in score.passage.sections}
    marks = [line("barline", _BARLINE / 2, 0.0, _BARLINE / 2, bottom, _BARLINE)]
    for bar, _, x in staff.bars:
        if score.passage.ending and bar + 1 == score.shown.stop:
            marks.append(line("barline", x - _THICK - 2.4, 0.0, x - _THICK - 2.4, bottom, _BARLINE))
            marks.append(line("barline", x - _THICK / 2, 0.0, x - _THICK / 2, bottom, _THICK))
            continue
        for back in (0.0, 2.0) if bar + 1 in sections else (0.0,):
            at = x - _BARLINE / 2 - back
            marks.append(line("barline", at, 0.0, at, bottom, _BARLINE))
    return marks


def _reasons(score: Score, staff: Staff, places: Places, sentences: Sequence[Sentence]) -> list[Reason]:
    """The sentences, under what they speak of."""
    end = score.tune.chart.starts[score.shown.stop]
    right = staff.bars[-1][2]
    found = []
    for sentence in sentences:
        left = places.x(sentence.start)
        stop = right if sentence.end >= end else places.x(sentence.end) + _HEAD
        found.append(Reason(sentence.text, left, max(stop, left + 6.0), sentence.end > end))
    return found
