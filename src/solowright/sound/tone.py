"""From pickup to loudspeaker: coil, compression, gain, tone stack, cabinet, room.

The gain is a soft clipper, tanh. What sets one rig apart from another stands in the table ``RIGS``.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from solowright.errors import InputError
from solowright.sound.filters import LATENCY, Band, Clipper, Equaliser, equaliser
from solowright.sound.string import SAMPLE_RATE, Samples, jit

Pickup = Literal["bridge", "both", "neck"]
PICKUPS: tuple[Pickup, ...] = ("bridge", "both", "neck")

MOST_GAIN = 40.0  # dB
KNEE = 10.0  # dB of gain at which a picked note's peak reaches the bend of the curve

# Figures from memory, rounded: a coil loaded by its cable, and a twelve-inch speaker in an open cabinet.
COIL: tuple[Band, ...] = (("lowpass", 4200.0, 0.0, 1.3),)
BEFORE_GAIN: tuple[Band, ...] = (("highpass", 110.0, 0.0, 0.7),)
CABINET: tuple[Band, ...] = (
    ("highpass", 75.0, 0.0, 0.8),
    ("peak", 130.0, 2.0, 1.0),
    ("peak", 450.0, -2.5, 0.8),
    ("peak", 2600.0, 4.0, 1.2),
    ("lowpass", 4800.0, 0.0, 0.9),
    ("lowpass", 6000.0, 0.0, 0.7),
)
BASS_HZ, MIDDLE_HZ, TREBLE_HZ = 160.0, 650.0, 2200.0  # where the tone stack turns; from memory

# The compressor, from memory of pedals: 4:1 above the threshold, quick to grip and slow to let go.
RATIO, GRIP_MS, LET_GO_MS = 4.0, 3.0, 150.0
# The room: four echoes of unrelated lengths that feed back, and two allpasses (Schroeder 1962).
ECHOES = np.array([1433, 1601, 1867, 2053, 241, 83], np.int64)  # samples
FADING, BLUR, DULL = 0.72, 0.6, 0.35


@dataclass(frozen=True, slots=True)
class Rig:
    """Pickup, amplifier and room. ``gain`` in dB from clean (0) to full (40); ``bass``, ``middle`` and
    ``treble`` in dB; ``compression`` in dB that the threshold lies under a picked note's peak;
    ``room`` is the share of it; ``trim`` in dB makes all rigs about as loud."""

    name: str
    does: str
    pickup: Pickup = "both"
    gain: float = 20.0
    bass: float = 0.0
    middle: float = 0.0
    treble: float = 0.0
    compression: float = 0.0
    room: float = 0.0
    trim: float = 0.0


# name, what it does, pickup, gain, bass, middle, treble, compression, room, trim
RIGS = (
    Rig("mild", "a little grit; slurs are softer than picked notes, double stops stay clear"),
    Rig("clean", "no grit: every pick stroke shows, slurs are soft", "both", 0, 0, 0, 0, 0, 0, 15.2),
    Rig("even", "clean and compressed: slurs and picks lie closer", "both", 0, 0, 0, 0, 18, 0, 12.8),
    Rig("round", "neck pickup, treble down, for chords and ballads", "neck", 6, 0, 0, -6, 0, 0, 7.8),
    Rig("bite", "bridge pickup, treble up, to cut through the band", "bridge", 16, -1, 1, 4, 0, 0, 0.7),
    Rig("slurs-speak", "slurred notes come up to picked ones", "both", 28, 0, 0, 0, 0, 0, -2.7),
    Rig("sing", "long notes hold on: high gain, neck pickup, a room", "neck", 34, 0, 2, 2, 6, 0.15, -5.7),
    Rig("full", "all the gain there is", "bridge", MOST_GAIN, 0, 0, 0, 0, 0, -4.8),
)
MILD = RIGS[0]


def choose_rig(name: str) -> Rig:
    """The rig of a name. Raises InputError, naming all, where there is none."""
    for rig in RIGS:
        if rig.name == name:
            return rig
    raise InputError(f"there is no rig '{name}'; choose among {', '.join(rig.name for rig in RIGS)}")


def with_gain(rig: Rig, gain: float) -> Rig:
    """The rig with another gain, in dB. Raises InputError outside 0 to 40."""
    if not 0 <= gain <= MOST_GAIN:
        raise InputError(f"the gain asked for is {gain:g} dB; give 0 to {MOST_GAIN:g}")
    return replace(rig, gain=gain)


@dataclass(slots=True)
class Amplifier:
    """A rig in use, block by block; ``LATENCY`` samples late."""

    rig: Rig
    before: Equaliser = field(init=False)
    clipper: Clipper = field(init=False)
    after: Equaliser = field(init=False)
    held: NDArray[np.float64] = field(default_factory=lambda: np.zeros(1))
    echoes: NDArray[np.float64] = field(default_factory=lambda: np.zeros((len(ECHOES), 4096)))
    room: NDArray[np.float64] = field(default_factory=lambda: np.zeros(5))  # dull memories, place

    def __post_init__(self) -> None:
        rig = self.rig
        stack: tuple[Band, ...] = (
            ("low", BASS_HZ, rig.bass, 0.7),
            ("peak", MIDDLE_HZ, rig.middle, 0.6),
            ("high", TREBLE_HZ, rig.treble, 0.7),
        )
        self.before = equaliser(COIL + BEFORE_GAIN)
        self.clipper = Clipper(10 ** ((rig.gain - KNEE) / 20))
        self.after = equaliser(tuple(band for band in stack if band[2]) + CABINET)

    def run(self, pickup: Samples) -> Samples:
        """The next block, from the pickup to the room."""
        sound = self.before.run(pickup)
        if self.rig.compression:
            _compress(sound, 10 ** (-self.rig.compression / 20), self.held)
        sound = self.after.run(self.clipper.run(sound))
        if self.rig.room:
            _reverberate(sound, self.rig.room, self.echoes, self.room)
        sound *= np.float32(10 ** (self.rig.trim / 20))
        return sound


def amplify(pickup: Samples, rig: Rig = MILD) -> Samples:
    """The guitar as the room hears it, from the pickup's whole signal and in step with it."""
    return Amplifier(rig).run(np.concatenate([pickup, np.zeros(LATENCY, np.float32)]))[LATENCY:]


_GRIP = 1 - np.exp(-1000 / (GRIP_MS * SAMPLE_RATE))
_LET_GO = 1 - np.exp(-1000 / (LET_GO_MS * SAMPLE_RATE))


@jit
def _compress(sound, threshold, held):  # type: ignore[no-untyped-def]
    level = held[0]
    for n in range(len(sound)):
        now = abs(sound[n])
        level += (_GRIP if now > level else _LET_GO) * (now - level)
        over = max(1.0, level / threshold)
        # What a picked note loses at its peak is given back to everything.
        sound[n] *= (over * threshold) ** (1.0 / RATIO - 1.0)
    held[0] = level if level > 1e-25 else 0.0


@jit
def _reverberate(sound, share, echoes, state):  # type: ignore[no-untyped-def]
    mask = echoes.shape[1] - 1
    place = int(state[4])
    for n in range(len(sound)):
        wet = 0.0
        for e in range(4):
            heard = echoes[e, (place - ECHOES[e]) & mask]
            state[e] += (1.0 - DULL) * (heard - state[e])
            if abs(state[e]) < 1e-25:
                state[e] = 0.0
            echoes[e, place & mask] = 0.25 * sound[n] + FADING * state[e]
            wet += heard
        for e in range(4, 6):
            heard = echoes[e, (place - ECHOES[e]) & mask]
            fed = wet + BLUR * heard
            echoes[e, place & mask] = fed if abs(fed) > 1e-25 else 0.0
            wet = heard - BLUR * fed
        sound[n] += share * 4.0 * wet
        place += 1
    state[4] = place & mask
