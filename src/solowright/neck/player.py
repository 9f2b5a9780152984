"""The player whose hand it is: reach, speed, and what costs effort.

Published figures for most of this were not found: no fretting-hand shift times, no reviewed top
picking rate. Every number marked *assumed* is ours, chosen so that handbook fingerings come out, and
can be set to another player. Units: millimetres, seconds; effort 1 is about one awkward fingering.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path

from solowright.neck.geometry import SCALE_MM


@dataclass(frozen=True, slots=True)
class Timing:
    """How long the fretting hand needs, in seconds. All *assumed*.

    A shift takes ``lift`` + ``bit``·log2(2D/W) (Fitts 1954: D the distance, W the room for the finger
    at the goal); the form is published, its two constants for a fretting hand are not. One finger
    striking twice is bounded by the 5–7 Hz of one-handed rhythm (Fujii et al. 2009), a little less
    here because the finger only moves over; two fingers in turn share the work.
    """

    lift: float = 0.030
    bit: float = 0.025
    finger: float = 0.050  # another finger comes down in the same position
    jump: float = 0.110  # the same finger lifts and comes down elsewhere
    roll: float = 0.065  # the same finger rolls to the next string at its fret
    more_fingers: float = 0.015  # each further finger of a grip


@dataclass(frozen=True, slots=True)
class Effort:
    """What the search weighs, in effort.

    The defaults here are *assumed*; ``LEARNED`` holds those that ``weights.toml`` fits to people's own
    fingerings in place of them, the rest stays as assumed.
    """

    shift: float = 1.2  # leaving the position at all
    travel: float = 0.025  # each millimetre of hand travel
    guide: float = 0.9  # share of a shift's effort left where a finger glides along its string
    settle: float = 1.0  # seconds in which the effort of a shift falls to a half
    stretch: float = 0.4  # a finger off its own fret
    stretch_mm: float = 0.012  # each millimetre by which a stretched hand is wider than ``rest_span``
    rest_span: float = 60.0
    bunch: float = 0.15  # each fret by which a finger is pulled in to its neighbour (open chords)
    barre: float = 0.7  # laying a finger over strings
    fingers: tuple[float, float, float, float] = (0.0, 0.0, 0.02, 0.2)  # index to little finger
    jump: float = 1.2  # the same finger on another string and fret
    roll: float = 0.5  # the same finger on the next string at its fret
    spread: float = 0.008  # each millimetre between fingers used in turn, past ``spread_free``
    spread_free: float = 50.0
    string: float = 0.08  # each string crossed
    skip: float = 0.5  # each string skipped, on top
    unison: float = 1.0  # the same pitch again, elsewhere
    height: float = 0.03  # each fret of the hand position above the first
    home: tuple[int, ...] = ()  # positions the player likes; where given, they replace ``height``
    stray: float = 0.15  # each fret of the hand position away from the nearest of them
    open_string: float = 0.0  # an open string; negative where the player likes them
    thick: float = 0.06  # each fret above the seventh on the lowest string, less on higher ones
    high_open: float = 0.2  # each position above the second, for an open string
    muted_gap: float = 0.3  # each silent string inside a grip
    faint: float = 1.0  # a harmonic two octaves above its string, where one octave costs nothing
    hammer: float = 0.8
    pull: float = 0.8
    slide: float = 1.5
    slur_onto_beat: float = 0.5  # slurring what the ear expects to be struck
    slur_dropped: float = 4.0  # picking what was written slurred
    grace_struck: float = 1.5  # striking anew after a grace note
    cut_short: float = 2.5  # stopping a note that should ring on
    bend_finger: tuple[float, float, float, float] = (1.5, 0.5, 0.0, 0.6)
    trill_struck: float = 2.0  # picking a note of a trill that is written out
    trill_finger: tuple[float, float, float, float] = (0.0, 0.0, 0.05, 0.5)  # beating the upper note
    load: float = 3.0  # a move that takes all the time it has; grows with the sixth power


LEARNED = Effort(**tomllib.loads((Path(__file__).parent / "weights.toml").read_text(encoding="utf-8")))


@dataclass(frozen=True, slots=True)
class Player:
    """A player's instrument and hand.

    ``reach``: millimetres along the neck from index to little finger at full stretch (*assumed*:
    about frets 1 to 5 of a 647.7 mm scale). ``pick_rate``: picked notes a second at the top (*assumed*
    from one-handed rhythm at 5–7 Hz, two strokes a cycle: 10–14). ``taps``: whether the player taps
    where nothing is written. ``left_handed``: pictures of the neck are mirrored, tablature is not.
    ``tuning`` (MIDI, highest string first) and ``capo``: how the instrument is strung for files that
    don't say; a tune's own count.
    """

    scale: float = SCALE_MM
    frets: int = 22
    reach: float = 135.0
    pick_rate: float = 12.0
    taps: bool = False
    left_handed: bool = False
    tuning: tuple[int, ...] | None = None
    capo: int | None = None
    timing: Timing = Timing()
    effort: Effort = LEARNED


# Reach of two fingers, as a share of the whole hand's, by how many fingers apart (*assumed*).
REACH_SHARE = {1: 0.5, 2: 0.75, 3: 1.0}
