"""The tablature staff itself: strings, frets under their notes, and fingers under the frets.

Origin: the left end of the top line; lines are ``LINE`` points apart.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from solowright.music.line import Note
from solowright.music.notation import Symbol
from solowright.page.drawing import BLUE, GREY, Box, Mark, letters, line, number, path, together
from solowright.page.score import Score, note_id
from solowright.page.staff import Staff

LINE = 6.2
WORD = 5.6  # size of words and fingers
_THIN = 0.35
_DIGIT = 7.4  # size of a fret
_GRACE = 0.78  # of that
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


_Drawn = tuple[Place, Mark | None]


def draw_frets(score: Score, staff: Staff) -> Iterator[_Drawn]:
    """Every note of the system with its fret; notes tied over within it have none."""
    first = True
    for bar, _, _ in staff.bars:
        for row, symbol in enumerate(score.bars[bar]):
            held = symbol.tie_from
            shown = not held or first
            first = False
            heads = []
            for note in symbol.notes:
                index = score.indices[id(note)]
                name = note_id(score, note, symbol, bar, row)
                if name in staff.heads:
                    heads.append((index, note, staff.heads[name]))
            if not heads or not shown:
                continue
            centres = sorted((box.left + box.right) / 2 for _, _, box in heads)
            column = [_fret(index, note, centres[(len(centres) - 1) // 2], held) for index, note, _ in heads]
            yield from _grace_frets(score, staff, symbol, min(_left(place) for place, _ in column))
            yield from column


def _grace_frets(score: Score, staff: Staff, symbol: Symbol, edge: float) -> list[_Drawn]:
    """Small frets before their main note, pushed left where two digits need it."""
    drawn: list[_Drawn] = []
    for note in reversed(symbol.graces):
        index = score.indices[id(note)]
        box = staff.heads.get(f"n{index}")
        if box is None:
            continue
        place, mark = _fret(index, note, (box.left + box.right) / 2, False)
        if place.box and place.box.right > edge - 3.2:
            place, mark = _fret(index, note, place.x - (place.box.right - edge + 3.2), False)
        edge = _left(place)
        drawn.insert(0, (place, mark))
    return drawn


def _left(place: Place) -> float:
    return place.box.left if place.box else place.x - 2.0


def _fret(index: int, note: Note, x: float, held: bool) -> _Drawn:
    if note.string is None or (note.fret is None and not note.dead):
        return Place(index, note, x, None, held), None
    y = (note.string - 1) * LINE
    size = _DIGIT * (_GRACE if note.grace else 1.0)
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
            other = f"({(note.fret or 0) + note.trill})"
            beside = letters("fret", other, mark.box.right + 0.8, baseline, size * 0.8)
            mark = together("fret", (mark, beside), f"{note.fret}{other}")
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
    for edge, tip in ((fret.box.left - 0.9, -arm), (fret.box.right + 0.9, arm)):
        d = f"M{number(edge)} {number(y - high)}l{number(tip)} {high}l{number(-tip)} {high}"
        box = Box(min(edge, edge + tip), y - high, max(edge, edge + tip), y + high)
        brackets.append(path("fret", d, box, 0.6))
    return together("fret", (fret, *brackets), f"⟨{text}⟩")


def draw_strings(strings: int, right: float, frets: Sequence[Mark]) -> Mark:
    """The strings, each interrupted where a fret stands on it."""
    parts = []
    for string in range(strings):
        y = string * LINE
        x = 0.0
        crossed = [mark.box for mark in frets if mark.box.top < y < mark.box.bottom]
        for box in sorted(crossed, key=lambda box: box.left):
            if box.left - _GAP > x:
                parts.append(f"M{number(x)} {number(y)}H{number(box.left - _GAP)}")
            x = max(x, box.right + _GAP)
        parts.append(f"M{number(x)} {number(y)}H{number(right)}")
    box = Box(0, -_THIN / 2, right, (strings - 1) * LINE + _THIN / 2)
    return path("strings", "".join(parts), box, _THIN, GREY)


def draw_clef(strings: int) -> list[Mark]:
    """TAB, letter under letter."""
    middle = (strings - 1) * LINE / 2
    size = min(LINE * (strings - 1) / 3.2, 11.5)
    step = size * 0.84
    return [
        letters("clef", letter, 8.5, middle + (row - 1) * step + 0.33 * size, size, "sans-bold", "middle")
        for row, letter in enumerate("TAB")
    ]


def draw_fingers(places: Sequence[Place], height: float) -> Iterator[Mark]:
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
            size = WORD * (0.85 if column[0].note.grace else 1.0)
            y = height + 8.4 + row * 5.6
            yield letters("finger", str(finger), column[0].x, y, size, "serif-italic", "middle", BLUE)


