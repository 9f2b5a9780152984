from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from solowright.music.line import Bend, Note
from solowright.sound.excerpt import choose
from solowright.sound.guitar import play_guitar
from solowright.sound.string import SAMPLE_RATE, Samples, midi_hertz
from solowright.sound.tone import MILD, amplify, with_gain
from tests.sound.tunes import F, note, vamp


def heard(*notes: Note, tempo: float = 120) -> Samples:
    return play_guitar(choose(vamp(4, list(notes), tempo=tempo), None, None, False))


def pitch(sound: Samples, start: float, end: float, near: float) -> float:
    """MIDI pitch, in parts of a semitone, of the fundamental between two seconds."""
    piece = sound[round(start * SAMPLE_RATE) : round(end * SAMPLE_RATE)].astype(float)
    size = 1 << 18
    spectrum = np.abs(np.fft.rfft(piece * np.blackman(len(piece)), size))
    low, high = (round(midi_hertz(near + off) * size / SAMPLE_RATE) for off in (-1.5, 1.5))
    return 69 + 12 * np.log2((low + int(np.argmax(spectrum[low:high]))) * SAMPLE_RATE / size / 440)


@pytest.mark.parametrize("entry", ["hammer", "pull", "slide", "tap"])
def test_a_slur_lands_on_its_pitch(entry: str) -> None:
    there = 62 if entry == "pull" else 67
    sound = heard(note(64, 0, 1, string=3, fret=9), note(there, 1, 2, string=3, entry=entry))
    assert pitch(sound, 0.1, 0.4, 64) == pytest.approx(64, abs=0.03)
    assert pitch(sound, 0.55, 1.4, there) == pytest.approx(there, abs=0.03)


def test_a_bend_stands_where_it_is_written() -> None:
    legs = (Bend(F(2)), Bend(F(0), "release"))
    sound = heard(note(71, 0, 4, string=2, fret=12, bends=legs))
    assert pitch(sound, 0.4, 0.95, 73) == pytest.approx(73, abs=0.03)
    assert pitch(sound, 1.4, 1.95, 71) == pytest.approx(71, abs=0.03)
    quarter_tone = heard(note(71, 0, 2, string=2, fret=12, bends=(Bend(F(1, 2), "prebend"),)))
    assert pitch(quarter_tone, 0.05, 0.9, 71) == pytest.approx(71.5, abs=0.03)


def test_a_harmonic_sounds_its_pitch_and_none_below() -> None:
    sound = heard(note(76, 0, 2, string=1, fret=12, entry="harmonic"))
    assert pitch(sound, 0.05, 0.9, 76) == pytest.approx(76, abs=0.03)
    spectrum = np.abs(np.fft.rfft(sound[:SAMPLE_RATE]))
    assert spectrum[250:500].max() < 0.01 * spectrum.max()  # the open string's own octave


def test_notes_on_two_strings_sound_together() -> None:
    sound = heard(note(67, 0, 2, string=2, fret=8), note(76, 0, 2, string=1, fret=12))
    assert pitch(sound, 0.05, 0.9, 67) == pytest.approx(67, abs=0.03)
    assert pitch(sound, 0.05, 0.9, 76) == pytest.approx(76, abs=0.03)


def level(sound: Samples, start: float, length: float) -> float:
    piece = sound[round(start * SAMPLE_RATE) :][: round(length * SAMPLE_RATE)].astype(float)
    return float(20 * np.log10(np.sqrt(np.mean(piece**2))))


def test_gain_brings_slurred_notes_up_to_picked_ones() -> None:
    """Pick and hammer by turns, six a second: clean 9 to 11 dB apart, less with every step of gain."""
    line = [
        note(71 + 2 * (n % 2), n, 1, string=2, fret=12 + 2 * (n % 2), entry=("pick", "hammer")[n % 2])
        for n in range(16)
    ]  # fmt: skip
    clean = heard(*line, tempo=360)

    def gap(sound: Samples) -> float:
        levels = [level(sound, n / 6, 0.15) for n in range(2, 16)]
        return float(np.mean(levels[0::2]) - np.mean(levels[1::2]))

    gaps = [gap(clean), *(gap(amplify(clean, with_gain(MILD, gain))) for gain in (10, 20, 30, 40))]
    assert 8.5 < gaps[0] < 11.5
    assert all(a > b for a, b in pairwise(gaps))
    assert gaps[2] < 7 and abs(gaps[4]) < 2


def test_a_staccato_or_stopped_note_is_over_when_it_should_be() -> None:
    sound = heard(note(64, 0, 1, staccato=True), note(64, 2, 1))
    assert level(sound, 0.1, 0.1) > level(sound, 0.4, 0.05) + 40
    # Stopped: nothing but the open strings' hum.
    hum = np.abs(sound[round(0.48 * SAMPLE_RATE) : SAMPLE_RATE - 1]).max() / np.abs(sound).max()
    assert 0 < hum < 2e-3


def test_untouched_strings_hum_with_what_belongs_to_them() -> None:
    """A staccato A on the third string stirs the open fifth's partials; a B flat finds nothing."""

    def hum(midi: int) -> float:
        return level(heard(note(midi, 0, F(1, 2), string=3, staccato=True)), 0.4, 0.3)

    assert hum(57) > hum(58) + 10


def test_a_lifted_finger_is_heard_a_little() -> None:
    sound = heard(note(64, 0, 1, string=3))
    before, lifting = (np.abs(np.diff(sound[a : a + 300])).max() for a in (23_000, 24_000))
    assert 1.05 * before < lifting < 20 * before


def test_an_upstroke_is_lighter_and_thinner() -> None:
    down, up = (heard(note(52, 0, 1, string=6, stroke=stroke)) for stroke in ("down", "up"))
    assert -1.5 < level(up, 0, 0.3) - level(down, 0, 0.3) < -0.2

    def top(sound: Samples) -> float:
        spectrum = np.abs(np.fft.rfft(sound[:12_000] * np.hanning(12_000)))
        return float(np.sum(spectrum[1250:2500]) / np.sum(spectrum[:500]))

    assert top(up) > top(down)


def test_dead_notes_die_and_muted_ones_are_short() -> None:
    def left(**how: object) -> float:
        sound = heard(note(52, 0, 2, **how))
        return level(sound, 0.3, 0.05) - level(sound, 0.0, 0.05)

    assert left(dead=True) < -65
    assert -60 < left(palm_mute=True) < -25
    assert left() > -10


def test_let_ring_rings_over_the_next_note_on_another_string() -> None:
    ringing = heard(note(40, 0, 1, string=6, let_ring=True), note(64, 1, 2, string=1))
    stopped = heard(note(40, 0, 1, string=6), note(64, 1, 2, string=1))
    def strength(sound: Samples) -> float:
        spectrum = np.abs(np.fft.rfft(sound[SAMPLE_RATE : SAMPLE_RATE + 24000] * np.hanning(24000)))
        return float(spectrum[38:45].max())

    assert strength(ringing) > 20 * strength(stopped)
