"""The tablature of one system: strings, frets, fingers and how the notes are played.

Drawn by us from the places of the noteheads. Origin: the left end of the top line.
"""

from __future__ import annotations

from dataclasses import dataclass

from solowright.page.drawing import Mark
from solowright.page.frets import LINE, Place, draw_clef, draw_fingers, draw_frets, draw_strings
from solowright.page.playing import draw_playing
from solowright.page.score import Score
from solowright.page.staff import Staff


@dataclass(frozen=True, slots=True)
class Tablature:
    """Marks on and over the staff, fingers under it, and the places of the frets."""

    marks: tuple[Mark, ...]
    fingers: tuple[Mark, ...]
    places: tuple[Place, ...]
    height: float


def draw_tablature(score: Score, staff: Staff) -> Tablature:
    """The tablature of one system, in its own coordinates."""
    strings = len(score.tune.tuning)
    height = (strings - 1) * LINE
    drawn = list(draw_frets(score, staff))
    places = tuple(place for place, _ in drawn)
    frets = [mark for _, mark in drawn if mark]
    playing = draw_playing(score, places, staff, frets)
    marks = (draw_strings(strings, staff.right, frets), *draw_clef(strings), *frets, *playing)
    return Tablature(marks, tuple(draw_fingers(places, height)), places, height)
