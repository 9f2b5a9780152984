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
    ``drawn`` is everything around the notes as it stood before the drawing began at ``top``. ``spots``
    tell where written times stand: the left edge of what is struck then, in order, to the last barline.
    """

    first: int
    last: int
    svg: str
    width: float
    height: float
    bars: tuple[tuple[int, float, float], ...]
    notes: tuple[NotePlace, ...]
    drawn: tuple[Mark, ...]
    top: float
    spots: tuple[tuple[Time, float], ...] = ()

    def __hash__(self) -> int:
        """Quick: the drawing tells nearly all of it, and a text's hash is worked out once."""
        return hash(self.svg)

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Everything drawn around the notes, with the boxes that its ink takes."""
        return tuple(mark.moved(0.0, -self.top) for mark in self.drawn)


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
        here = _here(cut, sentences, begins)
        system = _set_system(cut.passage, cut.number, each.spacing, width, here)
        systems.append(_stand(system, cut.note, cut.start))
    return tuple(systems)


@lru_cache(KEPT)
def _stand(system: System, first: int, start: Time) -> System:
    """A system in its tune, of which its notes begin at the ``first`` and its time at ``start``."""
    notes = tuple(NotePlace(place.index + first, place.head, place.fret) for place in system.notes)
    spots = tuple((time + start, x) for time, x in system.spots)
    return replace(system, notes=notes, spots=spots)


def _here(cut: Cut, sentences: Sequence[Sentence], begins: Sequence[float]) -> tuple[Sentence, ...]:
    """The sentences that begin in a passage's bars, in its time. ``begins`` has the starts of them all, in
    order: quicker to compare than exact times."""
    chart, before = cut.passage.tune.chart, cut.passage.before
    start = cut.start + chart.starts[before]
    end = cut.start + chart.starts[before + cut.passage.count]
    over = end + 1  # how far beyond the passage a sentence goes doesn't show
    return tuple(
        Sentence(sentence.text, sentence.start - cut.start, min(sentence.end, over) - cut.start)
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


@dataclass(frozen=True, slots=True)
class _Layout:
    """The notes of a passage as they stand, whatever its bars are called and its reasons say; the
    tablature is ``drop`` under the notation."""

    score: Score
    staff: Staff
    places: Places
    tab: Tablature
    drop: float

    @property
    def bottom(self) -> float:
        """The tablature's last line."""
        return self.drop + self.tab.height


@dataclass(frozen=True, slots=True)
class _Drawn:
    """All of a system but its reasons: the lines, and the ``marks`` around the notes."""

    lines: tuple[Mark, ...]
    marks: tuple[Mark, ...]
    foot: float  # of what stands above the reasons


# An edit often changes only what is said of a passage, or, where bars come or go before it, only how its
# bars are called. So each of the three steps to a system is kept.


@lru_cache(KEPT)
def _lay_notes(passage: Passage, spacing: float, width: float) -> _Layout:
    score = write_score(passage)
    staff = lay_out(score, spacing, width - 1.0)
    tab = draw_tablature(score, staff)
    return _Layout(score, staff, Places(score, staff), tab, _drop(staff, tab))


@lru_cache(KEPT)
def _draw_notes(passage: Passage, first: int, spacing: float, width: float) -> _Drawn:
    layout = _lay_notes(passage, spacing, width)
    score, staff, tab = layout.score, layout.staff, layout.tab
    over = draw_over(score, staff, list(staff.ink), layout.places, first)
    tab_marks = [mark.moved(0.0, layout.drop) for mark in (*tab.marks, *tab.fingers)]
    lines = (*staff_lines(staff.right), *staff.marks, *barlines(score, staff, layout.bottom))
    foot = max([layout.bottom, *(mark.box.bottom for mark in tab_marks)])
    return _Drawn(lines, (*over, *tab_marks), foot)


@lru_cache(KEPT)
def _set_system(
    passage: Passage, first: int, spacing: float, width: float, sentences: tuple[Sentence, ...]
) -> System:
    """A passage as a system, its first bar called ``first``; the indices of its notes count from the
    passage's first."""
    layout = _lay_notes(passage, spacing, width)
    drawn = _draw_notes(passage, first, spacing, width)
    staff = layout.staff
    reasons = draw_reasons(_reasons(layout, sentences), drawn.foot + 1.0, staff.right)
    marks = (*drawn.marks, *reasons)
    extent = around([mark.box for mark in (*drawn.lines, *marks)])
    top, foot = extent.top - 1.0, extent.bottom + 1.0
    last = first + len(staff.bars) - 1
    title = f"bars {first} to {last}" if last > first else f"bar {first}"
    svg = write_svg((*drawn.lines, *marks), width, top, foot, f"b{first}-", title)
    return System(
        first,
        last,
        svg,
        width,
        foot - top,
        tuple((number, left, end) for number, (_, left, end) in enumerate(staff.bars, first)),
        tuple(_note_places(staff, layout.tab, layout.drop, top)),
        marks,
        top,
        layout.places.spots,
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


def _reasons(layout: _Layout, sentences: Sequence[Sentence]) -> list[Reason]:
    """The sentences, under what they speak of."""
    score, places = layout.score, layout.places
    end = score.tune.chart.starts[score.shown.stop]
    right = layout.staff.bars[-1][2]
    found = []
    for sentence in sentences:
        left = places.x(sentence.start)
        stop = right if sentence.end >= end else places.x(sentence.end) + _HEAD
        found.append(Reason(sentence.text, left, max(stop, left + 6.0), sentence.end > end))
    return found
