"""The tablature staff: frets under their notes, and how they are played.

Drawn by us from the places of the noteheads. Origin: the left end of the top line; lines are
``LINE`` points apart. Left-hand and right-hand words (H, P, sl., T, P.M.) are common practice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from solowright.music.line import Bend, Line, Note
from solowright.page.drawing import (
    BLACK,
    BLUE,
    GREY,
    Box,
    Mark,
    around,
    letters,
    line,
    music,
    number,
    path,
    together,
    top_over,
)
from solowright.page.lettering import sign_extent
from solowright.page.mei import Score, is_slurred, string_before
from solowright.page.staff import Staff

LINE = 6.2
_THIN = 0.35
_DIGIT = 7.4  # size of a fret
_SMALL = 5.6  # size of words and fingers
_GAP = 0.9  # air between a fret and its line
_RISE = 0.325  # half the height of a digit, in ems


@dataclass(frozen=True, slots=True)
class Place:
    """A note as it stands on the tablature: its fret's box, or only its x where no string is known."""

    index: int
    note: Note
    x: float
    box: Box | None
    held: bool  # tied over from the system before


@dataclass(frozen=True, slots=True)
class Tablature:
    """Marks on and over the staff, fingers under it, and the places of the frets."""

    marks: tuple[Mark, ...]
    fingers: tuple[Mark, ...]
    places: tuple[Place, ...]
    height: float


def draw_tablature(score: Score, staff: Staff, width: float) -> Tablature:
    """The tablature of one system, in its own coordinates."""
    strings = len(score.tune.tuning)
    height = (strings - 1) * LINE
    places, frets = [], []
    for place, mark in _frets(score, staff):
        places.append(place)
        if mark:
            frets.append(mark)
    by_index = {place.index: place for place in places}
    right = staff.bars[-1][2]
    ends = _next_lefts(places, right)
    marks = [_lines(strings, right, frets), *frets, *_clef(strings)]
    line_ = score.tune.line
    marks += _joins(line_, by_index, staff)
    for place in places:
        if place.box and not place.held:
            marks += _slides(place)
    over = [mark for mark in marks if mark.kind != "strings"]
    over += _letters(line_, by_index, staff, over)
    for place in places:
        if place.box and place.note.bends and not place.held:
            over += _bend(place, ends[place.index], over)
    for place in places:
        if place.note.vibrato and not place.note.grace:
            over.append(_vibrato(place, ends[place.index], over))
    over += _strokes(places, over)
    for kind, word, wanted in _SPANS:
        over += _spans(places, ends, kind, word, wanted, over)
    return Tablature((marks[0], *over), tuple(_fingers(places, height)), tuple(places), height)


def _frets(score: Score, staff: Staff) -> Iterator[tuple[Place, Mark | None]]:
    first = True
    for bar, _, _ in staff.bars:
        for number_, symbol in enumerate(score.bars[bar]):
            held = symbol.tie_from
            shown = not held or first
            first = False
            for note in symbol.graces:
                index = score.indices[id(note)]
                box = staff.heads.get(f"n{index}")
                if box:
                    yield _fret(index, note, (box.left + box.right) / 2, False)
            heads = []
            for note in symbol.notes:
                index = score.indices[id(note)]
                name = f"n{index}.{bar}.{number_}" if held else f"n{index}"
                if name in staff.heads:
                    heads.append((index, note, staff.heads[name]))
            if not heads or not shown:
                continue
            centres = sorted((box.left + box.right) / 2 for _, _, box in heads)
            for index, note, _ in heads:
                yield _fret(index, note, centres[(len(centres) - 1) // 2], held)


def _fret(index: int, note: Note, x: float, held: bool) -> tuple[Place, Mark | None]:
    if note.string is None or (note.fret is None and not note.dead):
        return Place(index, note, x, None, held), None
    y = (note.string - 1) * LINE
    size = _DIGIT * (0.78 if note.grace else 1.0)
    baseline = y + _RISE * size
    if note.dead:
        mark = _cross(x, y)
    elif note.entry == "harmonic":
        mark = _bracketed(str(note.fret), x, y, size)
    elif held:
        mark = letters("fret", f"({note.fret})", x, baseline, size, "sans", "middle", GREY)
    else:
        mark = letters("fret", str(note.fret), x, baseline, size, "sans-bold", "middle")
        if note.trill:
            other = letters("fret-other", f"({(note.fret or 0) + note.trill})", mark.box.right + 0.8, baseline, size * 0.8)
            mark = together("fret", (mark, other), f"{note.fret}({(note.fret or 0) + note.trill})")
    return Place(index, note, x, mark.box, held), mark


def _cross(x: float, y: float) -> Mark:
    arm = 2.1
    strokes = (
        line("x", x - arm, y - arm, x + arm, y + arm, 0.9),
        line("x", x - arm, y + arm, x + arm, y - arm, 0.9),
    )
    return together("fret", strokes, "×")


def _bracketed(text: str, x: float, y: float, size: float) -> Mark:
    """A harmonic's fret in angle brackets, which the text face lacks."""
    fret = letters("fret", text, x, y + _RISE * size, size, "sans-bold", "middle")
    arm, high = 1.7, 2.9
    brackets = []
    for edge, turn in ((fret.box.left - 0.9, -1), (fret.box.right + 0.9, 1)):
        d = f"M{number(edge)} {number(y - high)}l{number(turn * arm)} {number(high)}l{number(-turn * arm)} {number(high)}"
        brackets.append(path("bracket", d, Box(min(edge, edge + turn * arm), y - high, max(edge, edge + turn * arm), y + high), 0.6))
    return together("fret", (fret, *brackets), f"⟨{text}⟩")


def _lines(strings: int, right: float, frets: list[Mark]) -> Mark:
    """The strings, each interrupted where a fret stands on it."""
    parts = []
    for string in range(strings):
        y = string * LINE
        x = 0.0
        for box in sorted((mark.box for mark in frets if mark.box.top < y < mark.box.bottom), key=lambda box: box.left):
            if box.left - _GAP > x:
                parts.append(f"M{number(x)} {number(y)}H{number(box.left - _GAP)}")
            x = max(x, box.right + _GAP)
        parts.append(f"M{number(x)} {number(y)}H{number(right)}")
    box = Box(0, -_THIN / 2, right, (strings - 1) * LINE + _THIN / 2)
    return path("strings", "".join(parts), box, _THIN, GREY)


def _clef(strings: int) -> list[Mark]:
    """TAB, letter under letter."""
    middle = (strings - 1) * LINE / 2
    size = min(LINE * (strings - 1) / 3.2, 11.5)
    step = size * 0.84
    return [
        letters("clef", letter, 8.5, middle + (row - 1) * step + 0.33 * size, size, "sans-bold", "middle")
        for row, letter in enumerate("TAB")
    ]


def _next_lefts(places: list[Place], right: float) -> dict[int, float]:
    """For each note, how far to the right what is drawn behind it may reach."""
    ends, after = {}, right
    for position in range(len(places) - 1, -1, -1):
        place = places[position]
        ends[place.index] = after
        earlier = places[position - 1] if position else None
        if earlier and (earlier.note.onset, earlier.note.grace) != (place.note.onset, place.note.grace):
            same = [other for other in places if abs(other.x - place.x) < 0.01 and other.box]
            after = min((other.box.left for other in same if other.box), default=place.x - 3)
    return ends


# --- joins on one string -------------------------------------------------------------------------


def _joins(line_: Line, places: dict[int, Place], staff: Staff) -> list[Mark]:
    """Slurs over what one pick stroke sounds on one string, and slides between frets."""
    marks: list[Mark] = []
    chains: list[list[int]] = []
    for index, note in enumerate(line_.notes):
        if not is_slurred(note) or note.string is None:
            continue
        before = string_before(line_, index)
        if before is None or not (_adjacent(line_, before, index)):
            continue
        chain = next((chain for chain in chains if chain[-1] == before), None)
        if chain:
            chain.append(index)
        else:
            chains.append([before, index])
        if note.entry == "slide":
            marks += _slide_between(line_, before, index, places)
    for chain in chains:
        here = [places[index] for index in chain if index in places and places[index].box]
        if not here:
            continue
        left = None if chain[0] not in places else places[chain[0]].box
        right = None if chain[-1] not in places else places[chain[-1]].box
        marks.append(_arc(left, right, here, staff))
    return marks


def _adjacent(line_: Line, before: int, index: int) -> bool:
    """Whether nothing else is struck between the two notes."""
    first, second = line_.notes[before], line_.notes[index]
    return not any(
        (first.onset, not first.grace) < (other.onset, not other.grace) < (second.onset, not second.grace)
        for other in line_.notes[before + 1 : index]
    )


def _arc(first: Box | None, last: Box | None, here: list[Place], staff: Staff) -> Mark:
    """A slur over frets; one that comes from, or goes on in, another system is left open there."""
    level = min(place.box.top for place in here if place.box) - 0.5
    x0 = (first.left + first.right) / 2 + 0.6 if first else staff.begin
    x1 = (last.left + last.right) / 2 - 0.6 if last else staff.bars[-1][2]
    height = min(3.6, 1.6 + 0.06 * (x1 - x0))
    lean = min(0.3 * (x1 - x0), 7.0)
    d = (
        f"M{number(x0)} {number(level)}C{number(x0 + lean)} {number(level - height * 4 / 3)} "
        f"{number(x1 - lean)} {number(level - height * 4 / 3)} {number(x1)} {number(level)}"
        f"C{number(x1 - lean)} {number(level - height * 4 / 3 + 0.9)} "
        f"{number(x0 + lean)} {number(level - height * 4 / 3 + 0.9)} {number(x0)} {number(level)}Z"
    )
    return path("arc", d, Box(x0, level - height, x1, level))


def _slide_between(line_: Line, before: int, index: int, places: dict[int, Place]) -> list[Mark]:
    start, end = places.get(before), places.get(index)
    if not (start and end and start.box and end.box):
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


def _letters(line_: Line, places: dict[int, Place], staff: Staff, over: list[Mark]) -> list[Mark]:
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
            before = string_before(line_, index)
            start = places.get(before) if before is not None else None
            x = (place.x + (start.x if start else max(staff.begin, place.x - 12))) / 2
        if not word or place.held or place.box is None or (note.onset, note.grace, word) in taken:
            continue
        taken.add((note.onset, note.grace, word))
        mark = letters("word", word, x, 0.0, _SMALL, "sans-italic" if word == "sl." else "sans", "middle")
        found.append(_raise(mark, [*over, *found], 1.4))
    return found


def _raise(mark: Mark, over: list[Mark], air: float, start: float = -1.0) -> Mark:
    """Lifts a mark until it clears the staff and everything there over it."""
    boxes = [other.box for other in over if other.box.top < start + LINE]
    top = top_over(boxes, mark.box.left - 0.8, mark.box.right + 0.8, start)
    return mark.moved(0.0, top - air - mark.box.bottom)


# --- bends, vibrato, strokes, spans ---------------------------------------------------------------

_AMOUNTS = {Fraction(1, 2): "¼", Fraction(1): "½", Fraction(3, 2): "¾", Fraction(2): "full", Fraction(3): "1½",
            Fraction(4): "2", Fraction(5): "2½", Fraction(6): "3"}


def _bend(place: Place, end: float, over: list[Mark]) -> list[Mark]:
    """Each leg of a bend as an arrow, up over the staff or down again, with its amount."""
    box, bends = place.box, place.note.bends
    assert box and place.note.string
    low = (place.note.string - 1) * LINE
    left, limit = box.right + 0.8, max(box.right + 8.0, min(end - 2.0, box.right + 11.0 * len(bends) + 4))
    reach = top_over([mark.box for mark in over], left - 2, limit + 6, -3.0)
    high = min(-8.0, reach - 3.0)
    legs, x, level = [], left, low
    step = (limit - left) / len(bends)
    for leg in bends:
        goal = low if leg.semitones <= 0 else high - (2.5 if leg.kind == "bend" and level < low else 0.0)
        if leg.kind == "prebend":
            x = place.x
            legs.append(line("bend", x, box.top - 0.6, x, goal + 2.4, 0.55))
            legs.append(_head(x, goal, -1))
        else:
            x1 = x + step
            legs.append(_bow(x, level, x1, goal))
            legs.append(_head(x1, goal, -1 if goal < level else 1))
            x = x1
        if leg.semitones > 0 and leg.kind != "release":
            legs.append(letters("amount", _amount(leg), x, goal - 1.6, _SMALL, "sans", "middle"))
        level = goal
    return legs


def _amount(leg: Bend) -> str:
    return _AMOUNTS.get(leg.semitones) or f"{float(leg.semitones / 2):g}"


def _bow(x0: float, y0: float, x1: float, y1: float) -> Mark:
    """A quarter turn from level to upright, or back."""
    stop = y1 + (2.4 if y1 < y0 else -2.4)
    d = f"M{number(x0)} {number(y0)}C{number(x1 - 1)} {number(y0)} {number(x1)} {number((y0 + y1) / 2)} {number(x1)} {number(stop)}"
    return path("bend", d, Box(x0, min(y0, y1), x1 + 0.3, max(y0, y1)), 0.55)


def _head(x: float, y: float, turn: int) -> Mark:
    d = f"M{number(x)} {number(y)}l-1.5 {number(-turn * 3.2)}h3z"
    return path("bend", d, Box(x - 1.5, min(y, y - turn * 3.2), x + 1.5, max(y, y - turn * 3.2)))


def _vibrato(place: Place, end: float, over: list[Mark]) -> Mark:
    left = place.x - 2.5
    right = min(max(left + 9.0, end - 3.0), left + 42.0)
    waves = max(3, round((right - left) / 3.0))
    d = f"M{number(left)} 0" + "".join(f"q1.5 {2.4 if wave % 2 else -2.4} 3 0" for wave in range(waves))
    return _raise(path("vibrato", d, Box(left, -1.5, left + 3 * waves, 1.5), 0.7), over, 1.4)


def _strokes(places: list[Place], over: list[Mark]) -> list[Mark]:
    found: list[Mark] = []
    seen = set()
    for place in places:
        note = place.note
        if note.stroke is None or note.onset in seen or place.held:
            continue
        seen.add(note.onset)
        code = "E610" if note.stroke == "down" else "E612"
        left, _, right, _ = sign_extent(code)
        space = 3.1
        mark = music("stroke", code, place.x - (left + right) / 2 * 4 * space / 1000, 0.0, space, text=note.stroke)
        found.append(_raise(mark, [*over, *found], 1.4))
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
    places: list[Place], ends: dict[int, float], kind: str, word: str, wanted: Callable[[Note], bool], over: list[Mark]
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
            text = letters(kind, word, left, 0.0, _SMALL, "sans-italic")
            parts = [text]
            if right > text.box.right + 5.0:
                parts.append(line(kind, text.box.right + 1.6, -1.4, right, -1.4, 0.45, BLACK, "2.2 1.8"))
                parts.append(line(kind, right, -1.4, right, 1.0, 0.45))
            found.append(_raise(together(kind, parts, word), [*over, *found], 1.6))
        run = []
    return found


# --- fingers --------------------------------------------------------------------------------------


def _fingers(places: list[Place], height: float) -> Iterator[Mark]:
    """Fretting fingers under the staff, from the high string down; a barring finger is named once."""
    columns: dict[tuple[Fraction, bool, int], list[Place]] = {}
    for place in places:
        if not place.held:
            order = place.index if place.note.grace else -1
            columns.setdefault((place.note.onset, place.note.grace, order), []).append(place)
    for column in columns.values():
        fingers = []
        for place in sorted(column, key=lambda place: place.note.string or 0):
            if place.note.finger and place.note.finger not in fingers:
                fingers.append(place.note.finger)
        for row, finger in enumerate(fingers):
            size = _SMALL * (0.85 if column[0].note.grace else 1.0)
            y = height + 7.6 + row * 5.6
            yield letters("finger", str(finger), column[0].x, y, size, "serif-italic", "middle", BLUE)


def extent_over(tablature: Tablature) -> Box:
    """The ink on and over the staff."""
    return around([mark.box for mark in tablature.marks])
