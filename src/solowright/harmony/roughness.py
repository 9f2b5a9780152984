"""How rough two strings sound together: the beating of their partials.

Model: Plomp and Levelt's curve of sensory dissonance in Sethares's fit (Sethares, "Local consonance
and the relationship between timbre and scale", 1993; constants from memory), summed over the pairs
of the first partials of two harmonic tones. 1 is the roughness of the half step A4–B♭4, so a third
low on the neck is told apart from the same third high up.
"""

from __future__ import annotations

from functools import cache
from math import exp

PARTIALS = 6
FALL = 0.88  # strength of each partial over the one before
SLOW, FAST = 3.5, 5.75
BAND, SLOPE, OFFSET = 0.24, 0.021, 19.0  # place and width of the curve's peak, by frequency in Hz
REFERENCE = (69, 70)  # A4 and B♭4


@cache
def roughness(low: int, high: int) -> float:
    """Roughness of two MIDI pitches sounding together, 0 (smooth) to about 1 and more low down."""
    return _beating(low, high) / _beating(*REFERENCE)


@cache
def _beating(low: int, high: int) -> float:
    total = 0.0
    for first in _partials(low):
        for second in _partials(high):
            base, distance = min(first[0], second[0]), abs(first[0] - second[0])
            width = BAND / (SLOPE * base + OFFSET) * distance
            total += min(first[1], second[1]) * (exp(-SLOW * width) - exp(-FAST * width))
    return total


@cache
def _partials(midi: int) -> tuple[tuple[float, float], ...]:
    """(hertz, strength) of each partial, on A4 = 440 Hz."""
    hertz = 440.0 * 2.0 ** ((midi - 69) / 12)
    return tuple((hertz * number, FALL ** (number - 1)) for number in range(1, PARTIALS + 1))
