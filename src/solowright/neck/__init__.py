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
from solowright.neck.other_key import OtherKey, transpose_keeping_shapes
from solowright.neck.phrases import cut_phrases
from solowright.neck.plainer import Bounds, Change, Easier, easier
from solowright.neck.player import Effort, Player, Timing
from solowright.neck.profile import parse_player, read_player
from solowright.neck.ranges import FretRange, parse_ranges
from solowright.neck.remarks import find_remarks, tell_fingering
from solowright.neck.shapes import Shape
from solowright.neck.taste import player_for
from solowright.neck.tempo import (
    BarLimit,
    PassageLimit,
    TempoRow,
    find_top_tempo,
    limit_by_bar,
    limit_by_passage,
    tempo_table,
)

__all__ = [
    "BarLimit",
    "Bounds",
    "Change",
    "Crux",
    "Easier",
    "Easing",
    "Effort",
    "Fingering",
    "FretRange",
    "Fretboard",
    "OtherKey",
    "PassageLimit",
    "Path",
    "Placed",
    "Player",
    "Shape",
    "Solved",
    "Spot",
    "TempoRow",
    "Timing",
    "apply_path",
    "cut_phrases",
    "easier",
    "find_easings",
    "find_remarks",
    "find_top_tempo",
    "finger",
    "fingering_json",
    "fret_distance",
    "gap",
    "limit_by_bar",
    "limit_by_passage",
    "parse_player",
    "parse_ranges",
    "places_of",
    "player_for",
    "read_player",
    "solve",
    "solve_after",
    "tell_fingering",
    "tempo_table",
    "transpose_keeping_shapes",
]
