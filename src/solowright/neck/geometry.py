"""Where the frets lie, in millimetres.

Rule: fret n stops the string at L(1 − 2^(−n/12)) from the nut, L the scale length. Distances, not
fret counts, are what a hand feels: four frets are 126 mm at the nut and 67 mm at fret 12.
"""

from __future__ import annotations

from math import inf

from solowright.errors import InputError

SCALE_MM = 647.7  # 25.5 inches
NUT = 0


def fret_distance(fret: int, scale: float = SCALE_MM) -> float:
    """Millimetres from the nut to a fret. Raises InputError below the nut."""
    if fret < NUT:
        raise InputError(f"there is no fret {fret}; frets count from 0, the open string")
    return float(scale * (1.0 - 2.0 ** (-fret / 12)))


def gap(fret: int, scale: float = SCALE_MM) -> float:
    """Millimetres between a fret and the one below it: the room a fingertip has there."""
    if fret <= NUT:
        return inf
    return fret_distance(fret, scale) - fret_distance(fret - 1, scale)
