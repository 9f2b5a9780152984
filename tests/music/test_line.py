"""Notes as values: equal ones are found again, and a fingered one keeps all else that it was."""

from __future__ import annotations

from dataclasses import MISSING, fields, replace
from fractions import Fraction

from solowright.music.line import Bend, Line, Note
from solowright.music.pitch import plain

FULL = Note(
    plain(64), Fraction(3, 2), Fraction(1, 3), 2, 5, 1, "hammer", True, "up", (Bend(Fraction(1)),), -2, 3,
    True, 2, True, True, True, True, True, False,
)  # fmt: skip


def test_a_fingered_note_keeps_the_rest() -> None:
    assert all(field.default in (MISSING, None) or getattr(FULL, field.name) != field.default
               for field in fields(Note))  # fmt: skip
    now = FULL.fingered(1, 7, None, "pick", 0, 1)
    assert now == replace(FULL, string=1, fret=7, finger=None, entry="pick", slide_from=0, slide_to=1)
    assert now.spelled is False


def test_equal_notes_have_one_hash() -> None:
    again = replace(FULL, onset=Fraction(6, 4), spelled=True)
    assert again == FULL and hash(again) == hash(FULL)
    others = [replace(FULL, fret=6), replace(FULL, onset=Fraction(2)), replace(FULL, string=1)]
    assert len({hash(note) for note in (FULL, *others)}) == 4


def test_a_line_knows_where_its_notes_end() -> None:
    assert Line((FULL,)).ends == (Fraction(11, 6),)
