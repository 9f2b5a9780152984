"""What stands over the notation: bar numbers, chords, the band's part, sections, tempo and feel.

Rows from the staff upward; every mark of a row shares its baseline, and each row clears the ink
below it. y 0 is the top line of the staff.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import groupby

from solowright.music.chord import Chord, chord_parts
from solowright.music.time import EIGHTH, SIXTEENTH, Feel, Time
from solowright.page.drawing import (
    GREY,
    VERMILION,
    Box,
    Mark,
    letters,
    line,
    music,
    number,
    path,
    together,
    top_over,
)
from solowright.page.score import Score, struck
from solowright.page.staff import Staff

CHORD_SIZE = 11.0
_RAISED = 0.72  # size of what is raised, against the symbol
_AIR = 3.0  # between rows
# Chords keep away from accidentals under and before them, which would read as a part of the symbol.
_OVER = 5.0
_ASIDE = 9.0


def draw_over(score: Score, staff: Staff, ink: list[Box], places: Places, first: int) -> list[Mark]:
    """All rows over the notation, ``first`` the number of the first bar; ``ink`` is what is there already,
    and is extended."""
    marks = _bar_numbers(staff, ink, first)
    ink += [mark.box for mark in marks]
    for row in (_trills, _chords, _band, _headings):
        added = row(score, staff, ink, places)
        ink += [mark.box for mark in added]
        marks += added
    return marks


class Places:
    """Where moments of one system stand: the written symbols, and evenly between them."""

    def __init__(self, score: Score, staff: Staff) -> None:
        chart = score.tune.chart
        spots: dict[Time, float] = {}
        for order, (bar, left, right) in enumerate(staff.bars):
            begin = staff.begin + 5.0 if order == 0 else left + 5.5
            spots.setdefault(chart.starts[bar], begin)
            for symbols, initial in ((score.band, "h"), (score.bars, "s")):
                for row, symbol in enumerate(symbols[bar]):
                    x = _symbol_x(score, staff, bar, row, symbol, initial)
                    if x is not None and not symbol.whole_bar:
                        spots[symbol.onset] = x
            spots[chart.starts[bar + 1]] = right
        self._times = sorted(spots)
        self._spots = spots

    @property
    def spots(self) -> tuple[tuple[Time, float], ...]:
        """(time, left edge) of all that is written, in order of time."""
        return tuple((time, self._spots[time]) for time in self._times)

    def x(self, time: Time) -> float:
        """The left edge of what is struck at a time."""
        after = next((spot for spot in self._times if spot >= time), self._times[-1])
        if after == time or after == self._times[0]:
            return self._spots[after]
        before = self._times[self._times.index(after) - 1]
        share = float((time - before) / (after - before))
        return self._spots[before] + min(share, 1.0) * (self._spots[after] - self._spots[before])


def _symbol_x(score: Score, staff: Staff, bar: int, row: int, symbol: object, initial: str) -> float | None:
    if initial == "s":
        notes = score.bars[bar][row].notes
        held = score.bars[bar][row].tie_from
        names = [f"n{score.indices[id(note)]}" + (f".{bar}.{row}" if held else "") for note in notes]
        lefts = [staff.heads[name].left for name in names if name in staff.heads]
        if lefts:
            return min(lefts)
    return staff.symbols.get(f"{initial}{bar}.{row}")


def _bar_numbers(staff: Staff, ink: list[Box], first: int) -> list[Mark]:
    marks: list[Mark] = []
    for order, (_, left, _) in enumerate(staff.bars):
        text = str(first + order)
        if text == "0":
            continue
        mark = letters("bar-number", text, left, 0.0, 6.0, "sans", "middle" if order else "start", GREY)
        top = top_over(ink, mark.box.left - 1, mark.box.right + 1, 0.0)
        marks.append(mark.moved(0.0, top - 2.2 - mark.box.bottom))
    return marks


def _trills(score: Score, staff: Staff, ink: list[Box], places: Places) -> list[Mark]:
    trilled: dict[Time, float] = {}
    struck_here = (symbol for bar, _, _ in staff.bars for symbol in score.bars[bar] if not symbol.tie_from)
    for symbol in struck_here:
        for note in symbol.notes:
            head = staff.heads.get(f"n{score.indices[id(note)]}")
            if head and note.trill:
                trilled.setdefault(note.onset, head.left)
    marks = []
    for left in trilled.values():
        mark = music("trill", "E566", left - 1.0, 0.0, 3.6, text="tr")
        top = top_over(ink, mark.box.left - 1, mark.box.right + 1, 0.0)
        marks.append(mark.moved(0.0, top - 2.0 - mark.box.bottom))
    return marks


# --- chords ---------------------------------------------------------------------------------------


def _chords(score: Score, staff: Staff, ink: list[Box], places: Places) -> list[Mark]:
    chart = score.tune.chart
    marks = [
        chord_mark(change.chord).moved(places.x(chart.starts[bar] + change.offset), 0.0)
        for bar, _, _ in staff.bars
        for change in chart.bars[bar].chords
    ]
    if not marks:
        return []
    marks = _spread(marks, staff.right)
    rise = min(
        top_over(ink, mark.box.left - _ASIDE, mark.box.right + 1.5, -2.0) - _OVER - max(mark.box.bottom, 0.0)
        for mark in marks
    )
    return [mark.moved(0.0, rise) for mark in marks]


@lru_cache(512)  # a tune has a few, again and again
def chord_mark(chord: Chord | None, size: float = CHORD_SIZE) -> Mark:
    """A chord symbol as in print, its baseline at (0, 0)."""
    if chord is None:
        return letters("chord", "N.C.", 0.0, 0.0, size * 0.85)
    parts = chord_parts(chord)
    pieces = [letters("chord", parts.root, 0.0, 0.0, size, "sans-bold")]
    if parts.kind:
        x = pieces[-1].box.right + 0.07 * size
        pieces.append(letters("chord", parts.kind, x, 0.0, size * 0.9, "sans"))
    if parts.raised:
        x = pieces[-1].box.right + 0.05 * size
        pieces.append(letters("chord", parts.raised, x, -0.34 * size, size * _RAISED, "sans"))
    if parts.bass:
        x = pieces[-1].box.right + 0.06 * size
        pieces.append(line("chord", x, 0.16 * size, x + 0.3 * size, -0.66 * size, 0.065 * size))
        pieces.append(letters("chord", parts.bass, x + 0.32 * size, 0.1 * size, size * 0.9, "sans-bold"))
    text = parts.root + parts.kind + parts.raised + (f"/{parts.bass}" if parts.bass else "")
    return together("chord", pieces, text)


def _spread(marks: list[Mark], right: float) -> list[Mark]:
    """Moves symbols apart that would touch, and back from the end of the system."""
    air = 3.0
    lefts: list[float] = []
    edge = 0.0
    for mark in marks:
        lefts.append(max(mark.box.left, edge))
        edge = lefts[-1] + mark.box.right - mark.box.left + air
    edge = right + air
    for index in range(len(marks) - 1, -1, -1):
        room = marks[index].box.right - marks[index].box.left + air
        lefts[index] = min(lefts[index], edge - room)
        edge = lefts[index]
    return [mark.moved(left - mark.box.left, 0.0) for mark, left in zip(marks, lefts, strict=True)]


# --- the band -------------------------------------------------------------------------------------


def _band(score: Score, staff: Staff, ink: list[Box], places: Places) -> list[Mark]:
    """Hits and answers as a small rhythm on one line; breaks and unwritten answers in brackets."""
    bars = score.tune.chart.bars
    marks: list[Mark] = []
    words: list[Mark] = []
    said = ""
    for bar, _, right in staff.bars:
        if struck(bars[bar]) and bar in staff.band:
            begin = places.x(score.tune.chart.starts[bar]) - 2.0
            rhythm = staff.band[bar]
            rule = line("band", begin, 0.0, right - 3.0, 0.0, 0.3, VERMILION)
            word = "answer" if bars[bar].answer else "hits"
            tinted = Mark("band", rhythm.box, f'<g color="{VERMILION}" fill="{VERMILION}">{rhythm.svg}</g>')
            marks.append(together("band", (rule, tinted)))
            if word != said:
                words.append(letters("band-word", word, begin, 0.0, 6.6, "sans-italic", ink=VERMILION))
            said = word
        else:
            said = ""
    for word, run in groupby(staff.bars, key=lambda place: _silence(score, place[0])):
        here = list(run)
        if word:
            bracket, beside = _bracket(word, here[0][1] + 3.0, here[-1][2] - 3.0)
            marks.append(bracket)
            words += beside
    if not marks:
        return []
    for text in sorted(words, key=lambda text: text.box.left):
        text = text.moved(min(0.0, staff.right - text.box.right), 0.0)
        high = top_over([mark.box for mark in marks], text.box.left - 2.0, text.box.right + 2.0, 6.0)
        marks.append(text.moved(0.0, min(0.0, high - 1.6 - text.box.bottom)))
    rise = min(
        top_over(ink, mark.box.left - 1, mark.box.right + 1, -2.0) - _AIR - mark.box.bottom for mark in marks
    )
    return [mark.moved(0.0, rise) for mark in marks]


def _silence(score: Score, bar: int) -> str:
    written = score.tune.chart.bars[bar]
    if written.pause:
        return "break"
    return "band answers" if written.answered and not written.answer else ""


def _bracket(word: str, left: float, right: float) -> tuple[Mark, list[Mark]]:
    """A bracket over bars with the word in it, or beside it where the bars are too narrow."""
    text = letters("band-word", word, (left + right) / 2, 2.0, 6.8, "sans-italic", "middle", VERMILION)
    if right - left < text.box.right - text.box.left + 16.0:
        d = f"M{number(left)} 4V0H{number(right)}V4"
        text = letters("band-word", word, left, -1.6, 6.8, "sans-italic", ink=VERMILION)
        return path("band", d, Box(left, 0, right, 4), 0.6, VERMILION), [text]
    gap, on = text.box.left - 3.0, text.box.right + 3.0
    d = f"M{number(left)} 4V0H{number(gap)}M{number(on)} 0H{number(right)}V4"
    return together("band", (path("band", d, Box(left, 0, right, 4), 0.6, VERMILION), text), word), []


# --- headings -------------------------------------------------------------------------------------


def _headings(score: Score, staff: Staff, ink: list[Box], places: Places) -> list[Mark]:
    """Section names in boxes, tempo and feel at the start, later tempos where they begin."""
    chart = score.tune.chart
    starts = dict(score.passage.sections)
    opening = score.passage.opening
    marks: list[Mark] = []
    for order, (bar, left, _) in enumerate(staff.bars):
        x = 0.5 if order == 0 else left
        if starts.get(bar):
            marks.append(_boxed(starts[bar], x))
            x = marks[-1].box.right + 8.0
        if opening and bar == 0:
            tempo = tempo_mark(opening[0]).moved(x, 0.0)
            marks += [tempo, *(mark.moved(tempo.box.right + 9.0, 0.0) for mark in feel_marks(opening[1]))]
        for time, bpm in score.passage.tempos:
            if chart.starts[bar] <= time < chart.starts[bar + 1]:
                mark = tempo_mark(bpm)
                marks.append(mark.moved(max(x, places.x(time)), 0.0))
                x = marks[-1].box.right + 6.0
    if not marks:
        return []
    rise = min(
        top_over(ink, mark.box.left - 2, mark.box.right + 2, -6.0) - _AIR - 1.5 - mark.box.bottom
        for mark in marks
    )
    return [mark.moved(0.0, rise) for mark in marks]


def _boxed(name: str, x: float) -> Mark:
    text = letters("section", name, x + 4.5, 0.0, 9.6, "sans-bold")
    box = Box(x, -9.6, text.box.right + 4.5, 3.4)
    d = f"M{number(x)} -9.6H{number(box.right)}V3.4H{number(x)}Z"
    frame = path("section", d, box, 0.8)
    return together("section", (frame, text), name)


def tempo_mark(bpm: float) -> Mark:
    """♩ = 186, its baseline at (0, 0)."""
    note = music("tempo", "E1D5", 0.0, 0.0, 2.6)
    text = letters("tempo", f"= {bpm:g}", note.box.right + 2.6, 0.0, 9.0, "sans")
    return together("tempo", (note, text), f"♩ = {bpm:g}")


def feel_marks(feel: Feel) -> Sequence[Mark]:
    """How written pairs are played: triplet swing as the usual equation, other ratios in words."""
    if feel.straight:
        return ()
    if feel.ratio != 2 or feel.unit not in (EIGHTH, SIXTEENTH):
        unit = {EIGHTH: "eighths", SIXTEENTH: "sixteenths"}.get(feel.unit, "pairs")
        text = f"Swing {unit} {_ratio(feel.ratio)}"
        return (letters("feel", text, 0.0, 0.0, 9.0, "sans"),)
    word = letters("feel", "Swing", 0.0, 0.0, 9.0, "sans")
    beams = 1 if feel.unit == EIGHTH else 2
    pair = _pair(word.box.right + 6.0, beams)
    equals = letters("feel", "=", pair.box.right + 3.0, 0.0, 9.0, "sans")
    long_note, short_note = ("E1D5", "E1D7") if beams == 1 else ("E1D7", "E1D9")
    x = equals.box.right + 3.6
    first = music("feel", long_note, x, 0.0, 2.2)
    second = music("feel", short_note, first.box.right + 2.6, 0.0, 2.2)
    top = -9.6
    three = letters("feel", "3", (x + second.box.right) / 2, top + 1.8, 5.6, "serif-italic", "middle")
    d = (
        f"M{number(x)} {number(top + 2)}V{number(top)}H{number(three.box.left - 1.2)}"
        f"M{number(three.box.right + 1.2)} {number(top)}H{number(second.box.right)}V{number(top + 2)}"
    )
    bracket = path("feel", d, Box(x, top, second.box.right, top + 2), 0.4)
    return (together("feel", (word, pair, equals, first, second, three, bracket), "swing"),)


def _ratio(ratio: Fraction) -> str:
    return f"{ratio.numerator} : {ratio.denominator}"


def _pair(x: float, beams: int) -> Mark:
    space = 2.2
    first = music("feel", "E0A4", x, -1.0, space)
    second = music("feel", "E0A4", x + 6.2, -1.0, space)
    top = -8.2
    left, right = first.box.right - 0.25, second.box.right - 0.25
    stems = [line("feel", stem, -1.4, stem, top, 0.5) for stem in (left, right)]
    levels = [top + 0.5 + row * 1.8 for row in range(beams)]
    bars = [line("feel", left - 0.25, level, right + 0.25, level, 1.1) for level in levels]
    return together("feel", (first, second, *stems, *bars))
