"""The player whose hand it is: reach, speed, and what costs effort.

Published figures for most of this were not found: no fretting-hand shift times, no reviewed top
picking rate. Every number marked *assumed* is ours, chosen so that handbook fingerings come out, and
can be set to another player. Units: millimetres, seconds; effort 1 is about one awkward fingering.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from pathlib import Path

from solowright.music.hand import AS_IT_IS, Hand
from solowright.neck.geometry import SCALE_MM


@dataclass(frozen=True, slots=True)
class Timing:
    """How long the fretting hand needs, in seconds. All *assumed*.

    A shift takes ``lift`` + ``bit``·log2(2D/W) (Fitts 1954: D the distance, W the room for the finger
    at the goal); the form is published, its two constants for a fretting hand are not. One finger
    striking twice is bounded by the 5–7 Hz of one-handed rhythm (Fujii et al. 2009), a little less
    here because the finger only moves over; two fingers in turn share the work. The picking hand's
    tapping finger is bounded in the same way (see ``picking``).
    """

    lift: float = 0.030
    bit: float = 0.025
    finger: float = 0.050  # another finger comes down in the same position
    jump: float = 0.110  # the same finger lifts and comes down elsewhere
    roll: float = 0.065  # the same finger rolls to the next string at its fret
    more_fingers: float = 0.015  # each further finger of a grip
    tap: float = 0.110  # the finger that taps comes down again


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
    replant: float = 0.3  # seconds in which the effort of a roll, jump or crossing falls to a half
    stretch: float = 0.4  # a finger off its own fret
    stretch_mm: float = 0.012  # each millimetre by which a stretched hand is wider than ``rest_span``
    rest_span: float = 60.0
    bunch: float = 0.15  # each fret by which a finger is pulled in to its neighbour, as wide as fret 1
    cramp: float = 0.4  # each finger left out of a grip between two that leave no fret for it
    barre: float = 0.14  # each further string that a finger is laid over
    barre_finger: tuple[float, float, float, float] = (1.0, 2.0, 1.5, 2.0)  # shares of it by finger
    arch: float = 0.8  # a laid finger arched over a thinner string that sounds lower
    tip: float = 0.1  # the tip of a laid finger kept off the next string, which sounds lower
    fingers: tuple[float, float, float, float] = (0.0, 0.0, 0.01, 0.2)  # index to little finger
    jump: float = 1.8  # the same finger on another string and fret
    roll: float = 0.8  # the same finger on the next string at its fret
    roll_finger: tuple[float, float, float, float] = (0.8, 1.0, 1.1, 1.7)  # shares of it by finger
    spread: float = 0.02  # each millimetre between fingers used in turn, past their rest (``PAIRS``)
    cross: float = 1.5  # fingers 2 to 4 landing against their order; the index may lead a shift
    string: float = 0.08  # each string crossed
    skip: float = 0.5  # each string skipped, on top
    unison: float = 1.0  # the same pitch or grip again, otherwise than before
    reshape: float = 2.5  # a grip of the same intervals at another pitch, in another shape
    height: float = 0.02  # each fret of the hand position above the first
    home: tuple[int, ...] = ()  # positions the player likes; where given, they replace ``height``
    stray: float = 0.15  # each fret of the hand position away from the nearest of them
    open_string: float = 0.25  # an open string, which rings on when the hand lifts; negative where liked
    open_strummed: float = 0.5  # share of it in a grip in open position
    open_above: float = 3.0  # share of it in a grip further up, which easing the fingers can't damp
    joint: float = 0.06  # each fret of the hand position above the 14th, over the body, on top
    thick: float = 0.06  # each fret above the seventh on the lowest string, less on higher ones
    high_open: float = 0.1  # each position above the second, for an open string
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
class Pair:
    """How far apart two fingers lie at ease and at most, in millimetres along the neck of a hand with
    the usual reach."""

    rest: float
    most: float


# All *assumed*: no reviewed table of finger spans along a neck was found. At rest is one finger a fret in
# third position, what a position study starts from (common practice, no source); the most follows from how
# far apart single fingers go: index and middle most, ring and little least, since they share a tendon.
USUAL_REACH = 135.0
PAIRS = {
    (1, 2): Pair(31.0, 74.0),
    (2, 3): Pair(29.0, 50.0),
    (3, 4): Pair(27.0, 42.0),
    (1, 3): Pair(59.0, 108.0),
    (2, 4): Pair(56.0, 86.0),
    (1, 4): Pair(87.0, 135.0),
}


@dataclass(frozen=True, slots=True)
class Player:
    """A player's instrument and hand.

    ``reach``: millimetres along the neck from index to little finger at full stretch (*assumed*:
    about frets 1 to 5 of a 647.7 mm scale). ``pick_rate``: picked notes a second at the top (*assumed*
    from one-handed rhythm at 5–7 Hz, two strokes a cycle: 10–14). ``taps``: whether the player taps
    where nothing is written. ``left_handed``: pictures of the neck are mirrored, tablature is not.
    ``tuning`` (MIDI, highest string first) and ``capo``: how the instrument is strung for files that
    don't say; a tune's own count. ``said`` and ``untouched``: what files have said of the hand so far, and
    the effort before (None: as it is), see ``taste``.
    """

    scale: float = SCALE_MM
    frets: int = 22
    reach: float = USUAL_REACH
    pick_rate: float = 12.0
    taps: bool = False
    left_handed: bool = False
    tuning: tuple[int, ...] | None = None
    capo: int | None = None
    timing: Timing = Timing()
    effort: Effort = LEARNED
    said: Hand = field(default=AS_IT_IS, hash=False)
    untouched: Effort | None = field(default=None, hash=False)

    def span_of(self, one: int, other: int) -> Pair:
        """The span of two fingers of this hand, whose reach scales the usual one."""
        pair = PAIRS[min(one, other), max(one, other)]
        share = self.reach / USUAL_REACH
        return Pair(pair.rest * share, pair.most * share)
