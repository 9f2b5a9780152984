"""The hand: where on the neck, with which finger, how fast. Knows nothing of harmony."""

from solowright.neck.answer import fingering_json
from solowright.neck.easing import Easing, find_easings
from solowright.neck.fingering import (
    Crux,
    Fingering,
    Path,
    Placed,
    Solved,
    apply_path,
    finger,
    solve,
    solve_after,
)
from solowright.neck.fretboard import Fretboard, Spot, places_of
from solowright.neck.geometry import fret_distance, gap
from solowright.neck.player import Effort, Player, Timing
from solowright.neck.profile import parse_player, read_player
from solowright.neck.ranges import FretRange
from solowright.neck.shapes import Shape
from solowright.neck.tempo import (
    BarLimit,
    TempoRow,
    find_top_tempo,
    judge_tempo,
    limit_by_bar,
    tempo_table,
)

__all__ = [
    "BarLimit",
    "Crux",
    "Easing",
    "Effort",
    "Fingering",
    "FretRange",
    "Fretboard",
    "Path",
    "Placed",
    "Player",
    "Shape",
    "Solved",
    "Spot",
    "TempoRow",
    "Timing",
    "apply_path",
    "find_easings",
    "find_top_tempo",
    "finger",
    "fingering_json",
    "fret_distance",
    "gap",
    "judge_tempo",
    "limit_by_bar",
    "parse_player",
    "places_of",
    "read_player",
    "solve",
    "solve_after",
    "tempo_table",
]
