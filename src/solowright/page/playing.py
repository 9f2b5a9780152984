"""How the notes are played, on and over the tablature: slurs, slides, bends, vibrato, strokes, spans.

Letters as players write them (H, P, sl., T, P.M., let ring): common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from itertools import groupby

from solowright.music.line import Bend, Note
from solowright.page.drawing import Box, Mark, letters, line, music, number, path, together, top_over
from solowright.page.frets import LINE, WORD, Place
from solowright.page.lettering import sign_extent
from solowright.page.over import Places
from solowright.page.score import Score
from solowright.page.staff import Staff

_DOUBLE = 5.2  # a double or final barline, as wide as it gets


def draw_playing(score: Score, places: Sequence[Place], staff: Staff, frets: Sequence[Mark]) -> list[Mark]:
    """Everything but the frets, each clear of what is below it."""
    by_index = {place.index: place for place in places}
    struck = [place for place in places if place.box and not place.held]
    ends = _next_lefts(places, [right - _DOUBLE for _, _, right in staff.bars])
    over = [*frets, *_joins(score, by_index, staff)]
    for place in struck:
        over += _slides(place)
    over += _letters(score, by_index, staff, over)
    for _, column in groupby((place for place in struck if place.note.bends), key=_moment):
        bent = list(column)
        legs = _bends(bent, ends[bent[-1].index], over)
        over += [_beside_barlines(leg, staff) if leg.kind == "amount" else leg for leg in legs]
    where = Places(score, staff)
    for onset in sorted({place.note.onset for place in places if place.note.vibrato}):
        place = next(place for place in places if place.note.onset == onset and place.note.vibrato)
        end = ends[place.index]
        if place.note.end < score.tune.chart.starts[staff.bars[-1][0] + 1]:
            end = min(end, where.x(place.note.end) - 1.0)
        over.append(_vibrato(place, end, over))
    over += _strokes(places, over)
    for kind, word, wanted in _SPANS:
        over += _spans(places, ends, kind, word, wanted, over)
    return over[len(frets) :]


def _moment(place: Place) -> tuple[Fraction, bool]:
    return place.note.onset, place.note.grace


def _next_lefts(places: Sequence[Place], barlines: Sequence[float]) -> dict[int, float]:
    """For each note, how far to the right what is drawn behind it may reach: the next, or a barline."""
    ends, after = {}, barlines[-1]
    for position in range(len(places) - 1, -1, -1):
        place = places[position]
        ends[place.index] = min([after, *(barline for barline in barlines if barline > place.x)])
        earlier = places[position - 1] if position else None
        if earlier and (earlier.note.onset, earlier.note.grace) != (place.note.onset, place.note.grace):
            same = [other for other in places if abs(other.x - place.x) < 0.01 and other.box]
            after = min((other.box.left for other in same if other.box), default=place.x - 3)
    return ends


# --- joins on one string -------------------------------------------------------------------------


def _joins(score: Score, places: dict[int, Place], staff: Staff) -> list[Mark]:
    """Slurs over what one pick stroke sounds on one string, and slides between frets."""
    marks: list[Mark] = []
    for chain in score.chains:
        here = [places[index] for index in chain if index in places and places[index].box]
        if not here:
            continue
        first, last = places.get(chain[0]), places.get(chain[-1])
        marks.append(_arc(first.box if first else None, last.box if last else None, here, staff))
        for place in here:
            before = places.get(score.joins.get(place.index, -1))
            if place.note.entry == "slide" and before:
                marks += _slide_between(before, place)
    return marks


def _arc(first: Box | None, last: Box | None, here: list[Place], staff: Staff) -> Mark:
    """A slur over frets; one that comes from, or goes on in, another system is left open there."""
    level = min(place.box.top for place in here if place.box) - 0.5
    x1 = (last.left + last.right) / 2 - 0.6 if last else staff.bars[-1][2]
    x0 = (first.left + first.right) / 2 + 0.6 if first else min(staff.begin, x1 - 9.0)
    height = min(3.6, 1.6 + 0.06 * (x1 - x0))
    lean = min(0.3 * (x1 - x0), 7.0)
    d = (
        f"M{number(x0)} {number(level)}C{number(x0 + lean)} {number(level - height * 4 / 3)} "
        f"{number(x1 - lean)} {number(level - height * 4 / 3)} {number(x1)} {number(level)}"
        f"C{number(x1 - lean)} {number(level - height * 4 / 3 + 0.9)} "
        f"{number(x0 + lean)} {number(level - height * 4 / 3 + 0.9)} {number(x0)} {number(level)}Z"
    )
    return path("arc", d, Box(x0, level - height, x1, level))


def _slide_between(start: Place, end: Place) -> list[Mark]:
    if not (start.box and end.box):
        return []
    up = (end.note.fret or 0) > (start.note.fret or 0)
    return _slant(start.box.right + 0.7, end.box.left - 0.7, ((end.note.string or 1) - 1) * LINE, up)


def _slant(x0: float, x1: float, y: float, up: bool) -> list[Mark]:
    if x1 - x0 < 1.0:
        return []
    rise = 1.9 if up else -1.9
    return [line("slide", x0, y + rise, x1, y - rise, 0.7)]


def _slides(place: Place) -> list[Mark]:
    """Slides in from nowhere and off to nowhere."""
    note, box = place.note, place.box
    if box is None or note.string is None:
        return []
    y = (note.string - 1) * LINE
    marks = []
    if note.slide_from:
        marks += _slant(box.left - 6.5, box.left - 0.7, y, note.slide_from < 0)
    if note.slide_to:
        marks += _slant(box.right + 0.7, box.right + 6.5, y, note.slide_to > 0)
    return marks


_WORDS = {"hammer": "H", "pull": "P", "slide": "sl."}


def _letters(score: Score, places: dict[int, Place], staff: Staff, over: list[Mark]) -> list[Mark]:
    """H, P, sl. between the frets they join, T over a tapped one; once for notes struck together."""
    found: list[Mark] = []
    taken = set()
    for index, place in places.items():
        note = place.note
        word = _WORDS.get(note.entry or "")
        x = place.x
        if note.entry == "tap":
            word = "T"
        elif word:
            start = places.get(score.joins.get(index, -1))
            x = (place.x + (start.x if start else max(staff.begin, place.x - 12))) / 2
        if not word or place.held or place.box is None or (note.onset, note.grace, word) in taken:
            continue
        taken.add((note.onset, note.grace, word))
        mark = letters("word", word, x, 0.0, WORD, "sans-italic" if word == "sl." else "sans", "middle")
        mark = _beside_barlines(mark, staff)
        found.append(_raise(mark, [*over, *found], 1.4))
    return found


def _beside_barlines(mark: Mark, staff: Staff) -> Mark:
    """Moves a mark to the nearer side of a barline that would run through it."""
    x = (mark.box.left + mark.box.right) / 2
    for _, _, barline in staff.bars:
        if mark.box.left - 0.8 < barline < mark.box.right + 0.8:
            before = x < barline
            mark = mark.moved(barline - (mark.box.right + 1.2 if before else mark.box.left - 0.8), 0.0)
    return mark


def _raise(mark: Mark, over: list[Mark], air: float, start: float = -1.0) -> Mark:
    """Lifts a mark until it clears ``start`` and everything that reaches over it."""
    boxes = [other.box for other in over]
    top = top_over(boxes, mark.box.left - 0.8, mark.box.right + 0.8, start)
    return mark.moved(0.0, top - air - mark.box.bottom)


# --- bends, vibrato, strokes, spans ---------------------------------------------------------------

_STROKE = 3.1  # size of a pick stroke's sign, as the space of a staff

_AMOUNTS = {
    Fraction(1, 2): "¼",
    Fraction(1): "½",
    Fraction(3, 2): "¾",
    Fraction(2): "full",
    Fraction(3): "1½",
    Fraction(4): "2",
    Fraction(5): "2½",
    Fraction(6): "3",
}  # by semitones, named in whole steps


def _bends(column: Sequence[Place], end: float, over: list[Mark]) -> list[Mark]:
    """The bends of notes struck together: every leg an arrow, up over the staff or down again, all
    to one height; an amount that they share is named once."""
    boxes = [place.box for place in column if place.box]
    legs = max(len(place.note.bends) for place in column)
    left = max(box.right for box in boxes) + 0.8
    limit = max(left + 7.0, min(end - 2.0, left + 11.0 * legs + 3.0))
    high = min(-8.0, top_over([mark.box for mark in over], left - 2.0, limit + 6.0, -3.0) - 3.0)
    marks: list[Mark] = []
    for place in column:
        marks += _bend(place, left, (limit - left) / legs, high)
    return list({(mark.kind, mark.box, mark.text): mark for mark in marks}.values())


def _bend(place: Place, left: float, step: float, high: float) -> list[Mark]:
    low = ((place.note.string or 1) - 1) * LINE
    marks, x, level = [], left, low
    for leg in place.note.bends:
        goal = low if leg.semitones <= 0 else high - (2.5 if leg.kind == "bend" and level < low else 0.0)
        if leg.kind == "prebend" and place.box:
            x = place.x
            marks.append(line("bend", x, place.box.top - 0.6, x, goal + 2.4, 0.55))
            marks.append(_head(x, goal, -1))
        else:
            marks.append(_bow(x, level, x + step, goal))
            x += step
            marks.append(_head(x, goal, -1 if goal < level else 1))
        if leg.semitones > 0 and leg.kind != "release":
            marks.append(letters("amount", _amount(leg), x, goal - 1.6, WORD, "sans", "middle"))
        level = goal
    return marks


def _amount(leg: Bend) -> str:
    return _AMOUNTS.get(leg.semitones) or f"{float(leg.semitones / 2):g}"


def _bow(x0: float, y0: float, x1: float, y1: float) -> Mark:
    """A quarter turn from level to upright, or back."""
    stop = y1 + (2.4 if y1 < y0 else -2.4)
    d = (
        f"M{number(x0)} {number(y0)}C{number(x1 - 1)} {number(y0)} "
        f"{number(x1)} {number((y0 + y1) / 2)} {number(x1)} {number(stop)}"
    )
    return path("bend", d, Box(x0, min(y0, y1), x1 + 0.3, max(y0, y1)), 0.55)


def _head(x: float, y: float, turn: int) -> Mark:
    d = f"M{number(x)} {number(y)}l-1.5 {number(-turn * 3.2)}h3z"
    return path("bend", d, Box(x - 1.5, min(y, y - turn * 3.2), x + 1.5, max(y, y - turn * 3.2)))


def _vibrato(place: Place, end: float, over: list[Mark]) -> Mark:
    left = min(place.x - 2.5, end - 8.0)
    waves = min(14, int((end - 2.0 - left) / 3.0))
    d = f"M{number(left)} 0" + "".join(f"q1.5 {2.4 if wave % 2 else -2.4} 3 0" for wave in range(waves))
    return _raise(path("vibrato", d, Box(left, -1.5, left + 3 * waves, 1.5), 0.7), over, 1.4)


def _strokes(places: Sequence[Place], over: list[Mark]) -> list[Mark]:
    found: list[Mark] = []
    seen = set()
    for place in places:
        note = place.note
        if note.stroke is None or note.onset in seen or place.held:
            continue
        seen.add(note.onset)
        code = "E610" if note.stroke == "down" else "E612"
        left, _, right, _ = sign_extent(code)
        x = place.x - (left + right) / 2 * 4 * _STROKE / 1000
        mark = music("stroke", code, x, 0.0, _STROKE, text=note.stroke)
        found.append(_raise(mark, [*over, *found], 1.4, -8.0))
    return found


def _is_muted(note: Note) -> bool:
    return note.palm_mute


def _rings(note: Note) -> bool:
    return note.let_ring


_SPANS: tuple[tuple[str, str, Callable[[Note], bool]], ...] = (
    ("mute", "P.M.", _is_muted),
    ("ring", "let ring", _rings),
)


def _spans(
    places: Sequence[Place],
    ends: dict[int, float],
    kind: str,
    word: str,
    wanted: Callable[[Note], bool],
    over: list[Mark],
) -> list[Mark]:
    """A word with a dashed line over a run of notes played alike."""
    found: list[Mark] = []
    run: list[Place] = []
    for place in [*places, None]:
        if place and wanted(place.note):
            run.append(place)
            continue
        if run:
            left, right = run[0].x - 3.0, run[-1].x + 4.0
            if kind == "ring":
                right = max(right, ends[run[-1].index] - 2.0)
            text = letters(kind, word, left, 0.0, WORD, "sans-italic")
            parts = [text]
            if right > text.box.right + 5.0:
                parts.append(line(kind, text.box.right + 1.6, -1.4, right, -1.4, 0.45, dash="2.2 1.8"))
                parts.append(line(kind, right, -1.4, right, 1.0, 0.45))
            found.append(_raise(together(kind, parts, word), [*over, *found], 1.6))
        run = []
    return found
