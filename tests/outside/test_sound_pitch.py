"""The voice against published physics, measured on rendered audio by the FFT alone.

Tuning: ISO 16:1975, A4 = 440 Hz, equal temperament. Stiff strings: f_k = k f0 √(1 + B k²), Fletcher
1964. Pickup: partial k of a string stopped at length l is heard in proportion to |sin(kπ d/l)| at
distance d from the bridge (Smith, Physical Audio Signal Processing; Paiva, Pakarinen & Välimäki 2012).
Fret n leaves l = L·2^(−n/12) of a string of length L.
"""

from __future__ import annotations

import numpy as np
import pytest

from solowright.music.tune import Tune
from solowright.sound.excerpt import choose
from solowright.sound.guitar import play_guitar
from solowright.sound.mix import render
from solowright.sound.string import Loop, Motion, add_at, hear, pluck, run_string
from tests.sound.tunes import F, note, vamp

RATE = 48_000
OPEN_STRINGS = (64, 59, 55, 50, 45, 40)  # E4 B3 G3 D3 A2 E2


def partial(sound: np.ndarray, near: float) -> tuple[float, float]:  # type: ignore[type-arg]
    """(hertz, amplitude) of the strongest partial within 3 % of ``near``: parabola through three bins."""
    size = 1 << 17
    spectrum = np.abs(np.fft.rfft(sound.astype(float) * np.blackman(len(sound)), size))
    low, high = (round(near * share * size / RATE) for share in (0.97, 1.03))
    top = low + int(np.argmax(spectrum[low : high + 1]))
    a, b, c = np.log(spectrum[top - 1 : top + 2] + 1e-12)
    return (top + 0.5 * (a - c) / (a - 2 * b + c)) * RATE / size, float(spectrum[top])


def cents(hertz: float, wanted: float) -> float:
    return float(1200 * np.log2(hertz / wanted))


def every_fret(string: int) -> Tune:
    """A second on each fret from 0 to 24 of one string."""
    line = [note(OPEN_STRINGS[string - 1] + n, F(2 * n), 2, string=string, fret=n) for n in range(25)]
    return vamp(13, line, tempo=120)


@pytest.mark.parametrize("string", range(1, 7))
def test_every_fret_up_to_24_is_in_tune_within_2_cents(string: int) -> None:
    """On the string the fundamental; after the amplifier, whose distortion beats with a weak
    fundamental, the strongest of the first four partials, brought down to the first."""
    played = every_fret(string)
    clean = play_guitar(choose(played, None, None, False))
    amplified = render(played, stems=("guitar",), count_in=False).stems["guitar"]
    for fret in range(25):
        wanted = 440.0 * 2 ** ((OPEN_STRINGS[string - 1] + fret - 69) / 12)
        part = slice(round((fret + 0.1) * RATE), round((fret + 0.95) * RATE))
        assert abs(cents(partial(clean[part], wanted)[0], wanted)) < 0.2, f"string {string} fret {fret}"
        strongest = max((partial(amplified[part], k * wanted)[::-1], k) for k in range(1, 5))
        (_, hertz), k = strongest
        assert abs(cents(hertz / k, wanted)) < 2, f"string {string} fret {fret} partial {k}"


def sounding(hertz: float, stiffness: float) -> np.ndarray:  # type: ignore[type-arg]
    motion, drive = Motion([], []), np.zeros(RATE, np.float32)
    motion.add(0, Loop(8.0, 6.0, stiffness).filters(hertz))
    add_at(drive, 0, pluck(hertz, 0.0871, 0.1))
    return run_string(motion, drive)


@pytest.mark.parametrize(("hertz", "stiffness"), [
    (82.41, 6e-5), (110.0, 4e-5), (196.0, 1.1e-4), (659.26, 5.2e-5),
])  # fmt: skip
def test_partials_stand_where_a_stiff_string_has_them(hertz: float, stiffness: float) -> None:
    sound = sounding(hertz, stiffness)
    first = hertz / np.sqrt(1 + stiffness)
    for k in range(1, 11):
        wanted = k * first * np.sqrt(1 + stiffness * k * k)
        assert abs(cents(partial(sound, wanted)[0], wanted)) < 2, f"partial {k}"


@pytest.mark.parametrize(("open_hertz", "fret", "distance"), [
    (110.0, 0, 0.25), (110.0, 0, 0.065), (196.0, 12, 0.25), (146.83, 5, 0.1),
])  # fmt: skip
def test_the_pickup_hears_partials_as_its_place_says(open_hertz: float, fret: int, distance: float) -> None:
    sound = sounding(open_hertz * 2 ** (fret / 12), 0.0)
    heard = hear(sound, distance, open_hertz)
    length = 2 ** (-fret / 12)
    for k in range(1, 13):
        near = k * open_hertz / length
        share = partial(heard[2000:], near)[1] / partial(sound[2000:], near)[1]
        wanted = 2 * abs(np.sin(k * np.pi * distance / length))
        assert share == pytest.approx(wanted, abs=0.02), f"partial {k}"
