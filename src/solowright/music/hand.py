"""What is said of the hand that plays: in a player's own file, and in a sheet, which counts for its tune.

None stands for what isn't said. The words are those of both files; what they weigh is the neck's to know.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

# The least and the most that can be meant.
NUMBERS = {"scale": (300.0, 900.0), "frets": (12, 36), "reach": (60.0, 250.0), "pick_rate": (2.0, 25.0)}
LISTS = {"weak_fingers": (1, 4), "positions": (1, 24)}
WORDS = {"open_strings": ("like", "neutral", "avoid"), "legato": ("little", "some", "much")}


@dataclass(frozen=True, slots=True)
class Hand:
    """``scale`` and ``reach`` in millimetres, ``pick_rate`` in notes a second, fingers from 1 the index to 4
    the little finger, ``positions`` as frets of the index finger."""

    scale: float | None = None
    frets: int | None = None
    reach: float | None = None
    pick_rate: float | None = None
    taps: bool | None = None
    weak_fingers: tuple[int, ...] | None = None
    positions: tuple[int, ...] | None = None
    open_strings: str | None = None
    legato: str | None = None

    def over(self, other: Hand) -> Hand:
        """What this says, and what the other says where this is silent."""
        own = {field.name: getattr(self, field.name) for field in fields(self)}
        return Hand(**{
            name: getattr(other, name) if value is None else value for name, value in own.items()
        })


AS_IT_IS = Hand()
