"""The guitar voice: six strings run as the hands say, heard through pickups.

A pick leaves a kink: the string starts as a rectangle of velocity, which gives partial k the
strength |sin(kπβ)|/k of a string plucked at β of its length (the pick-position comb); a pickup at d
hears |sin(kπd/L)| of it. Picks and pickups stay where they are on the body, so both combs move as
the string is fretted. A slur retunes the running string and gives it little new energy (Laurson et
al., ICMC 2000); no published figure says how little, so the levels below are assumptions.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import pairwise

import numpy as np

from solowright.music.tune import Tune
from solowright.sound.blocks import Event, cut, joined, lay_out
from solowright.sound.excerpt import Excerpt
from solowright.sound.hands import Action, place_hands
from solowright.sound.pitch_path import RETUNE, pitch_path, slide, trill_steps
from solowright.sound.string import (
    SAMPLE_RATE,
    Filters,
    Hearing,
    Loop,
    Motion,
    Running,
    Samples,
    midi_hertz,
    pluck,
)
from solowright.sound.tone import Pickup

SCALE_MM = 647.7
PICK_MM = 80.0  # from the bridge; recorded notes show no notch lower than about the eighth partial
BRIDGE_PICKUP_MM, NECK_PICKUP_MM = 42.0, 162.0  # from memory
PICKUP_PLACES: dict[Pickup, tuple[tuple[float, float], ...]] = {  # (share, millimetres from the bridge)
    "bridge": ((1.0, BRIDGE_PICKUP_MM),),
    "both": ((0.6, BRIDGE_PICKUP_MM), (0.4, NECK_PICKUP_MM)),
    "neck": ((1.0, NECK_PICKUP_MM),),
}

# By string, the highest first. Plain strings: computed for .010 .013 .017 steel; wound: from memory.
STIFFNESS = (1.3e-5, 4.0e-5, 1.1e-4, 3e-5, 4e-5, 6e-5)
OPEN_DECAY, OPEN_TREBLE_DECAY = 8.0, 2.6  # seconds for 60 dB; set beside recorded single notes
FRETS_TO_HALVE, FRETS_TO_HALVE_TREBLE = 24.0, 6.0  # how decay shortens up the neck, set likewise

# Strength against a picked note, and milliseconds that the contact rounds off. Assumptions.
PICKED, PICK_MS = 1.0, 0.30
HAMMERED, HAMMER_MS = 0.35, 1.0
PULLED, PULL_MS = 0.36, 0.7
SLID, TRILLED = 0.10, 0.20
SLUR_KEEPS = 0.38  # of the running string's motion, when a finger lands on it or leaves it
ACCENT, UPSTROKE, UPSTROKE_CONTACT = 1.3, 0.92, 0.8  # an upstroke is lighter and a little thinner

_MS = SAMPLE_RATE / 1000
_STOP_BEFORE_PICK = round(4 * _MS)  # the pick touches the ringing string before it lets it go
_RELEASE = round(8 * _MS)
_SILENT_AFTER = round(220 * _MS)
# Seconds of decay, low and treble, by what damps the string. Assumptions.
LIFTED, TOUCHED, DEAD, PALM = (0.07, 0.03), (0.015, 0.01), (0.05, 0.035), (0.40, 0.10)


# Open strings that nobody touches hum along: the share of the others' motion that reaches them over
# the bridge, and how long they ring under a resting hand. Assumptions.
HUM, HUMMING = 0.0004, (0.9, 0.35)
_HUM_AFTER = round(300 * _MS)  # a string left alone this long hums again
RELEASED, RELEASE_NOISE_MS = 0.012, 6.0  # the finger's rub as it lifts; an assumption


def play_guitar(excerpt: Excerpt, pickup: Pickup = "both", pick_mm: float = PICK_MM) -> Samples:
    """The line as the pickups hear it, before gain and tone: as long as the excerpt."""
    return joined(guitar_blocks(excerpt, cut(excerpt.length), pickup, pick_mm))


def guitar_blocks(
    excerpt: Excerpt, cuts: Sequence[int], pickup: Pickup = "both", pick_mm: float = PICK_MM
) -> Iterator[Samples]:
    """``play_guitar`` block by block; ``pick_mm`` is the pick's distance from the bridge."""
    tune, hands = excerpt.tune, place_hands(excerpt)
    strings = range(1, len(tune.tuning) + 1)
    played = {string: play_string(tune, actions, cuts, pick_mm) for string, actions in hands.items()}
    idle = {string: Running(_humming(tune, string, hands.get(string, ()))) for string in strings}
    coils = {string: _coils(tune, string, pickup) for string in strings}
    for start, stop in pairwise(cuts):
        moving = {string: next(part) for string, part in played.items()}
        together = np.zeros(stop - start, np.float32)
        for wave in moving.values():
            together += wave
        heard = np.zeros(stop - start, np.float32)
        for string in strings:
            wave = idle[string].run(np.float32(HUM) * (together - moving.get(string, np.float32(0))))
            wave += moving.get(string, np.float32(0))
            for share, coil in coils[string]:
                heard += np.float32(share) * coil.run(wave)
        yield heard


def _coils(tune: Tune, string: int, pickup: Pickup) -> list[tuple[float, Hearing]]:
    open_hertz = midi_hertz(tune.tuning[string - 1])
    return [(share, Hearing(mm / SCALE_MM, open_hertz)) for share, mm in PICKUP_PLACES[pickup]]


def _humming(tune: Tune, string: int, actions: tuple[Action, ...]) -> Motion:
    """An open string that moves while nothing is played on it."""
    hertz = midi_hertz(tune.tuning[string - 1] + tune.capo)
    free = Loop(*HUMMING, STIFFNESS[min(string, len(STIFFNESS)) - 1]).filters(hertz)
    held = (free[0], 0.0, 0.0, 0.0)
    motion, since = Motion([], []), 0
    for action in actions:
        if action.start > since:
            motion.add(since, free)
            motion.add(action.start, free)
        motion.add(action.start, held)
        since = action.stop + _HUM_AFTER
    motion.add(since, free)
    return motion


def play_string(
    tune: Tune, actions: tuple[Action, ...], cuts: Sequence[int], pick_mm: float = PICK_MM
) -> Iterator[Samples]:
    """The wave on one string block by block, as its actions say, before any pickup."""
    motion = Motion([], [])
    strikes: list[Event] = []
    for action, following in zip(actions, (*actions[1:], None), strict=True):
        _begin(motion, action)
        _sound(motion, action, _stop(action, following))
        if following is None or following.start > action.stop:
            _release(motion, action, following)
            if not action.note.dead:
                strikes.append((action.stop, partial(_rub, action.stop)))
        strikes += _strikes(tune, action, pick_mm)
    running = Running(motion)
    return (running.run(drive) for drive in lay_out(strikes, cuts))


def _loop(action: Action) -> Loop:
    fret = 0 if action.entry == "harmonic" else max(0, action.fret)
    stiffness = STIFFNESS[min(action.string, len(STIFFNESS)) - 1] * 2 ** (fret / 6)
    if action.note.dead:
        return Loop(*DEAD, stiffness)
    if action.note.palm_mute:
        return Loop(*PALM, stiffness)
    low = OPEN_DECAY * 2 ** (-fret / FRETS_TO_HALVE)
    treble = OPEN_TREBLE_DECAY * 2 ** (-fret / FRETS_TO_HALVE_TREBLE)
    return Loop(low, treble, stiffness)


def _damped(action: Action, decays: tuple[float, float], semitones: float = 0.0) -> Filters:
    """The note's own string, damped: stiffness and bend stay, else the pitch would waver on the way."""
    hertz = midi_hertz(action.note.pitch.midi + semitones)
    return Loop(*decays, _loop(action).stiffness).filters(hertz, action.note.pitch.hertz)


def _begin(motion: Motion, action: Action) -> None:
    """The knots that lead from what the string did before into the note."""
    first = pitch_path(action.note, action.stop - action.start)[0][1]
    target = _loop(action).filters(midi_hertz(action.note.pitch.midi + first), action.note.pitch.hertz)
    if not motion.times or motion.last[1] == 0.0:
        motion.add(action.start, target)
        return
    if action.entry == "slide" and action.after:
        _slide_in(motion, action, action.after.pitch.midi)
        return
    if action.entry in ("hammer", "pull", "tap") and action.after:
        # Every part of the running wave passes the weakened loop once: a period long.
        period = round(SAMPLE_RATE / action.note.pitch.hertz)
        weak = (target[0], target[1] * SLUR_KEEPS, *target[2:])
        motion.add(action.start, motion.last)
        motion.add(action.start + RETUNE, weak)
        motion.add(action.start + max(RETUNE, period), weak)
        motion.add(action.start + max(RETUNE, period) + RETUNE, target)
        return
    motion.add(action.start - _STOP_BEFORE_PICK, motion.last)
    motion.add(action.start - _STOP_BEFORE_PICK // 2, _damped(action, TOUCHED))
    motion.add(action.start, target)


def _slide_in(motion: Motion, action: Action, before: int) -> None:
    """The finger travels before the note's time and arrives on it."""
    room = action.start - motion.times[-1]
    points = slide(0, before, action.note.pitch.midi, room)
    begin = action.start - points[-1][0]
    motion.add(begin, motion.last)
    for time, midi in points[1:]:
        motion.add(begin + time, _loop(action).filters(midi_hertz(midi), action.note.pitch.hertz))


def _stop(action: Action, following: Action | None) -> int:
    """Where the note's own path ends: earlier where the next one's beginning needs the string."""
    if following is None or following.start > action.stop:
        return action.stop
    if following.entry == "slide":
        return action.start + (action.stop - action.start) // 2
    if following.entry in ("hammer", "pull", "tap"):
        return action.stop
    return max(action.start + 1, action.stop - _STOP_BEFORE_PICK)


def _sound(motion: Motion, action: Action, stop: int) -> None:
    """The note's own path from its start to ``stop``."""
    loop = _loop(action)
    for time, semitones in pitch_path(action.note, action.stop - action.start)[1:]:
        if action.start + time >= stop:
            break
        if action.start + time > motion.times[-1]:
            hertz = midi_hertz(action.note.pitch.midi + semitones)
            motion.add(action.start + time, loop.filters(hertz, action.note.pitch.hertz))
    motion.add(stop, motion.last)


def _release(motion: Motion, action: Action, following: Action | None) -> None:
    """The finger lifts: the string dies away and is still, if the next note leaves it the time."""
    faded = _damped(action, LIFTED, pitch_path(action.note, action.stop - action.start)[-1][1])
    motion.add(action.stop + _RELEASE, faded)
    if following is None or following.start > action.stop + _SILENT_AFTER:
        motion.add(action.stop + _SILENT_AFTER, faded)
        motion.add(action.stop + _SILENT_AFTER, (faded[0], 0.0, 0.0, 0.0))


def _strikes(tune: Tune, action: Action, pick_mm: float) -> list[Event]:
    """The energy that the hands give the string, and when."""
    note, hertz = action.note, action.note.pitch.hertz
    speaking = SCALE_MM * 2 ** (-max(0, action.fret + tune.capo) / 12)
    level = PICKED * (ACCENT if note.accent else 1.0) * (UPSTROKE if note.stroke == "up" else 1.0)
    place = min(0.5, pick_mm / speaking)
    contact = PICK_MS * (UPSTROKE_CONTACT if note.stroke == "up" else 1.0)
    if action.entry == "harmonic":  # the node leaves partials n, 2n, …: as if the string were an nth as long
        place, contact = 0.5, 2 * PICK_MS
    elif action.entry in ("hammer", "tap"):
        level, place, contact = level * HAMMERED, 0.1, HAMMER_MS
        level *= 1.0 if action.after else 1.5
    elif action.entry == "pull" and action.after:
        # The finger plucks where it stood: that far from the new end of the string.
        place = 1 - 2 ** (-max(1, action.after.pitch.midi - note.pitch.midi) / 12)
        level, contact = level * PULLED, PULL_MS
    elif action.entry == "slide":
        level *= SLID
    found: list[Event] = [(action.start, partial(_plucked, level, hertz, max(0.06, place), contact))]
    for n, time in enumerate(trill_steps(action.stop - action.start) if note.trill else ()):
        there = hertz * 2 ** (note.trill / 12 if n % 2 == 0 else 0)
        found.append((action.start + time, partial(_plucked, TRILLED, there, 0.1, HAMMER_MS)))
    return found


def _plucked(level: float, hertz: float, place: float, contact_ms: float) -> Samples:
    return np.float32(level) * pluck(hertz, place, contact_ms)


def _rub(seed: int) -> Samples:
    """A short breath of noise; each release its own, the same every time."""
    length = round(RELEASE_NOISE_MS * _MS)
    noise = np.random.default_rng(seed).standard_normal(length) * np.hanning(length)
    return np.asarray(RELEASED * (noise - noise.mean()), np.float32)
