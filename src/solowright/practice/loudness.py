"""How long a sound level may be listened to, from a level that the user measured.

NIOSH 98-126 (Criteria for a Recommended Standard: Occupational Noise Exposure, 1998): 85 dB(A) for eight
hours, half as long for each 3 dB more. A file carries no loudness, so the level must be measured at the
ear. Local rules and a hearing professional come before this.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import log10

from solowright.errors import InputError

LIMIT = 85.0  # dB(A) for a working day
DAY = 480.0  # minutes
EXCHANGE = 3.0  # dB that halve the time
QUIETEST, LOUDEST = 30.0, 140.0  # dB(A) that a meter shows where people play


def allowed_minutes(level: float) -> float:
    """Minutes a day at ``level`` dB(A). Raises InputError for a level that no meter shows."""
    if not QUIETEST <= level <= LOUDEST:
        raise InputError(
            f"a level of {level:g} dB(A) is not what a meter shows here; give {QUIETEST:g} to {LOUDEST:g}"
        )
    return DAY * float(2.0 ** ((LIMIT - level) / EXCHANGE))


def dose(exposures: Iterable[tuple[float, float]]) -> float:
    """Percent of a day's allowance used by (dB(A), minutes) pairs."""
    return 100.0 * sum(minutes / allowed_minutes(level) for level, minutes in exposures)


def average_level(percent: float) -> float:
    """The steady level, in dB(A) over eight hours, that makes the same dose."""
    return 10.0 * log10(percent / 100.0) + LIMIT


def loudness_caution(level: float, minutes: float) -> str:
    """One sentence on a sitting of ``minutes`` at a measured level."""
    allowed = allowed_minutes(level)
    if allowed >= DAY:
        return f"At {level:g} dB(A) a day's playing stays within the recommended limit."
    time = f"{allowed:.0f} minutes" if allowed >= 2 else f"{60 * allowed:.0f} seconds"
    if minutes > allowed:
        return (
            f"At {level:g} dB(A) your ears have {time} a day, and this sitting takes {minutes:.0f} minutes: "
            "turn it down or wear protection. Local rules and a hearing professional come first."
        )
    return f"At {level:g} dB(A) your ears have {time} a day, everything loud you hear that day included."
