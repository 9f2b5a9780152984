"""How much gain until slurred notes speak: measured for one line at one tempo.

The line is played twice, as it is fingered and with every slurred note picked, and each slurred note is
compared with its own picked twin over its first 60 ms (or until the next note). Pitch, place and what
sounds before are then the same on both sides. What more gain costs is measured beside it: hiss, and the
roughness of two notes struck together.

Assumptions, since no figure is published: how much energy a slur gives the string (``guitar.HAMMERED``,
``PULLED``), and that hiss at the amplifier's input lies ``HISS`` under a picked note's peak. The first
shifts the clean gap by several dB; the shape of the curve stays.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from solowright.errors import InputError
from solowright.music.line import Line, Note
from solowright.music.pitch import Interval
from solowright.music.time import Time
from solowright.music.tune import Tune
from solowright.sound.excerpt import Excerpt, choose
from solowright.sound.guitar import PICK_MM, play_guitar
from solowright.sound.hands import Action, place_hands
from solowright.sound.roughness import roughness
from solowright.sound.string import SAMPLE_RATE, Samples
from solowright.sound.tone import MILD, MOST_GAIN, PICKUPS, Pickup, Rig, amplify, with_gain

GAINS = tuple(float(gain) for gain in range(0, int(MOST_GAIN) + 1, 5))
SPEAKS = 3.0  # dB: a slurred note this little under a picked one is heard as its equal; an assumption
HISS = -70.0  # dB of the input's noise to a picked note's peak; an assumption
PICKS_MM = (40.0, PICK_MM, 140.0)  # from the bridge: by the pickup, ordinary, over the neck pickup
MOST_SLURS = 32  # slurred notes that are measured, spread over the line
_WINDOW, _BEFORE = round(0.06 * SAMPLE_RATE), round(0.08 * SAMPLE_RATE)
_AFTER_ONSET = round(0.003 * SAMPLE_RATE)
_CHORD = round(0.7 * SAMPLE_RATE)
_THIRD = Interval(2, 4)
_SLURS = ("hammer", "pull", "slide")


@dataclass(frozen=True, slots=True)
class GainStep:
    """What is heard at one gain. Gaps are dB that slurred notes lie under picked ones, the median over
    the line, None where it has none of the kind; ``hiss`` is dB to the picked notes' level;
    ``roughness`` is that of two notes together, as a multiple of the clean one."""

    gain: float
    gap: float
    hammer: float | None
    pull: float | None
    slide: float | None
    hiss: float
    roughness: float


@dataclass(frozen=True, slots=True)
class Setting:
    """A pickup and pick place compared: the clean gap in dB, and the least gain at which slurs speak."""

    pickup: Pickup
    pick_mm: float
    clean_gap: float
    least_gain: float | None


@dataclass(frozen=True, slots=True)
class SpeakReport:
    """The answer for a line: ``least_gain`` is None where even full gain leaves slurs further under."""

    title: str
    tempo: float
    slurs: int
    notes_a_second: float
    rig: str
    least_gain: float | None
    steps: tuple[GainStep, ...]
    settings: tuple[Setting, ...]
    double_stop: str
    own_double_stop: bool


def speak_report(
    tune: Tune,
    *,
    bars: tuple[int, int] | None = None,
    tempo: float | None = None,
    rig: Rig = MILD,
    compare: bool = True,
) -> SpeakReport:
    """Measures how slurred notes come up to picked ones as gain rises, for a fingered tune.

    ``compare`` measures other pickups and pick places too. Raises InputError where nothing is slurred.
    """
    excerpt = choose(tune, bars, tempo, count_in=False)
    slurs = _slurred(excerpt)
    if not slurs:
        raise InputError("no note of the line is slurred; finger it first, or write hammer-ons and pull-offs")
    chord, name, own = _double_stop(excerpt)
    pair = _play_chord(excerpt, chord, rig.pickup)
    written, picked = _twins(excerpt, slurs, rig.pickup, PICK_MM)
    clean_roughness = roughness(amplify(pair, with_gain(rig, 0.0)))
    steps = []
    for gain in GAINS:
        now = with_gain(rig, gain)
        gaps, level = _gaps(written, picked, now)
        hammer, pull, slide = (_median(gaps[[a.entry == kind for a in slurs]]) for kind in _SLURS)
        rough = roughness(amplify(pair, now)) / clean_roughness
        all_together = float(np.median(gaps))
        steps.append(GainStep(gain, all_together, hammer, pull, slide, _hiss(now) - level, rough))
    return SpeakReport(
        tune.title, excerpt.tune.tempo.first, len(slurs), _pace(excerpt), rig.name,
        _least([step.gap for step in steps]), tuple(steps),
        _compared(excerpt, slurs, rig, tuple(step.gap for step in steps)) if compare else (), name, own,
    )  # fmt: skip


def _slurred(excerpt: Excerpt) -> list[Action]:
    """Slurred notes as the hands play them, at most ``MOST_SLURS``, evenly chosen."""
    found = [
        action
        for actions in place_hands(excerpt).values()
        for action in actions
        if action.entry in _SLURS and action.after and not action.note.grace and action.start > _BEFORE
    ]
    found.sort(key=lambda action: action.start)
    chosen = np.unique(np.linspace(0, len(found) - 1, min(len(found), MOST_SLURS)).astype(int))
    return [found[n] for n in chosen]


def _picked(note: Note) -> Note:
    slurred = note.slurred or note.entry in _SLURS
    return replace(note, entry="pick", slurred=False) if slurred else note


_Pieces = tuple[Samples, tuple[tuple[int, int], ...]]


def _twins(excerpt: Excerpt, slurs: list[Action], pickup: Pickup, pick_mm: float) -> tuple[_Pieces, _Pieces]:
    """The slurred notes and what comes before them, strung together, as written and as picked."""
    picked = Line(tuple(_picked(note) for note in excerpt.tune.line.notes))
    tunes = (excerpt.tune, replace(excerpt.tune, line=picked))
    sounds = [play_guitar(replace(excerpt, tune=tune), pickup, pick_mm) for tune in tunes]
    return _strung(sounds[0], slurs), _strung(sounds[1], slurs)


def _strung(sound: Samples, slurs: list[Action]) -> _Pieces:
    """One sound of all pieces, each faded in from silence, and where the notes lie in it."""
    pieces, spans, place = [], [], 0
    fade = np.sin(np.linspace(0, np.pi / 2, _BEFORE // 4, dtype=np.float32)) ** 2
    for action in slurs:
        stop = min(action.start + _WINDOW, action.stop)
        piece = sound[action.start - _BEFORE : stop].copy()
        piece[: len(fade)] *= fade
        spans.append((place + _BEFORE + _AFTER_ONSET, place + len(piece)))
        pieces.append(piece)
        place += len(piece)
    return np.concatenate(pieces), tuple(spans)


def _levels(pieces: _Pieces, rig: Rig) -> NDArray[np.float64]:
    sound, spans = pieces
    heard = amplify(sound, rig).astype(np.float64)
    return np.array([10 * np.log10(np.mean(heard[a:b] ** 2) + 1e-20) for a, b in spans if b > a])


def _gaps(written: _Pieces, picked: _Pieces, rig: Rig) -> tuple[NDArray[np.float64], float]:
    """dB of every slurred note under its picked twin, and the picked ones' level."""
    twins = _levels(picked, rig)
    return twins - _levels(written, rig), float(np.median(twins))


def _median(gaps: NDArray[np.float64]) -> float | None:
    return float(np.median(gaps)) if len(gaps) else None


def _least(gaps: list[float]) -> float | None:
    """The gain from which on gaps stay within ``SPEAKS``, between two measured ones by a straight line."""
    if gaps[-1] > SPEAKS:
        return None
    least = GAINS[0]
    for (low, above), (high, below) in pairwise(zip(GAINS, gaps, strict=True)):
        if above > SPEAKS >= below:
            least = low + (high - low) * (above - SPEAKS) / (above - below)
    return round(least, 1)


def _compared(
    excerpt: Excerpt, slurs: list[Action], rig: Rig, own: tuple[float, ...]
) -> tuple[Setting, ...]:
    """Each pickup, and each pick place on the rig's own; ``own`` are the gaps that are known already."""
    wanted = [(pickup, PICK_MM) for pickup in PICKUPS]
    wanted += [(rig.pickup, mm) for mm in PICKS_MM if mm != PICK_MM]
    found = []
    for pickup, mm in wanted:
        gaps = list(own)
        if (pickup, mm) != (rig.pickup, PICK_MM):
            twins = _twins(excerpt, slurs, pickup, mm)
            gaps = [float(np.median(_gaps(*twins, with_gain(rig, gain))[0])) for gain in GAINS]
        found.append(Setting(pickup, mm, gaps[0], _least(gaps)))
    return tuple(found)


def _hiss(rig: Rig) -> float:
    """Level in dB of the input's noise alone, after the rig."""
    noise = np.random.default_rng(1).standard_normal(SAMPLE_RATE).astype(np.float32)
    heard = amplify(np.float32(10 ** (HISS / 20)) * noise, rig)[SAMPLE_RATE // 4 :]
    return float(10 * np.log10(np.mean(heard.astype(np.float64) ** 2)))


def _pace(excerpt: Excerpt) -> float:
    """Notes a second where the line moves: one over the median time between its onsets."""
    onsets = [excerpt.sample(notes[0].onset) for notes in excerpt.tune.line.events()
              if excerpt.holds(notes[0].onset)]  # fmt: skip
    gaps = [b - a for a, b in pairwise(onsets) if b > a]
    return round(SAMPLE_RATE / float(np.median(gaps)), 1) if gaps else 0.0


def _double_stop(excerpt: Excerpt) -> tuple[tuple[Note, ...], str, bool]:
    """The line's first two notes struck together; where it has none, a third in the middle of its range."""
    for notes in excerpt.tune.line.events():
        if len(notes) == 2 and excerpt.holds(notes[0].onset):
            names = " and ".join(note.pitch.name for note in reversed(notes))
            return notes, f"{names} of {excerpt.tune.chart.place(notes[0].onset)}", True
    rising = sorted(excerpt.tune.line.notes, key=lambda note: note.pitch.midi)
    note = rising[len(rising) // 2]
    upper = replace(note, pitch=note.pitch.up(_THIRD), string=None, fret=None)
    return (note, upper), f"a major third on {note.pitch.name}", False


def _play_chord(excerpt: Excerpt, notes: tuple[Note, ...], pickup: Pickup) -> Samples:
    start: Time = excerpt.start
    held = tuple(
        Note(note.pitch, start, excerpt.end - start, note.string, note.fret, entry="pick") for note in notes
    )
    alone = replace(excerpt, tune=replace(excerpt.tune, line=Line(held)))
    sound = play_guitar(alone, pickup)[: round(1.0 * SAMPLE_RATE)]
    return np.pad(sound, (0, max(0, _CHORD - len(sound))))
