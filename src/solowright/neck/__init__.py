"""The hand: where on the neck, with which finger, how fast. Knows nothing of harmony."""

from solowright.neck.answer import fingering_json
from solowright.neck.fingering import Crux, Fingering, Path, Placed, apply_path, finger
from solowright.neck.fretboard import Fretboard, Spot, places_of
from solowright.neck.geometry import fret_distance, gap
from solowright.neck.player import Effort, Player, Timing

__all__ = [
    "Crux",
    "Effort",
    "Fingering",
    "Fretboard",
    "Path",
    "Placed",
    "Player",
    "Spot",
    "Timing",
    "apply_path",
    "finger",
    "fingering_json",
    "fret_distance",
    "gap",
    "places_of",
]
