from __future__ import annotations

import numpy as np
import pytest

from solowright.errors import InputError
from solowright.sound.filters import Clipper, equalise
from solowright.sound.string import SAMPLE_RATE, Samples
from solowright.sound.tone import LATENCY, MOST_GAIN, RIGS, Amplifier, Rig, amplify, choose_rig, with_gain


def sine(hertz: float, seconds: float, level: float = 0.9) -> Samples:
    n = np.arange(round(seconds * SAMPLE_RATE))
    return (level * np.sin(2 * np.pi * hertz / SAMPLE_RATE * n)).astype(np.float32)


def highest_alias(sound: Samples, hertz: float) -> float:
    """What is no harmonic of a whole number of hertz, up to 18 kHz, in dB under the loudest partial."""
    piece = sound[SAMPLE_RATE // 2 : -SAMPLE_RATE // 2].astype(float)
    spectrum = np.abs(np.fft.rfft(piece * np.blackman(len(piece))))
    bins = np.fft.rfftfreq(len(piece), 1 / SAMPLE_RATE)
    harmonic = np.abs(bins / hertz - np.round(bins / hertz)) * hertz < 6
    return float(20 * np.log10(spectrum[~harmonic & (bins > 20) & (bins < 18_000)].max() / spectrum.max()))


@pytest.mark.parametrize("hertz", [331.0, 997.0, 1319.0, 2003.0, 2637.0])
def test_what_full_gain_adds_does_not_fold_back(hertz: float) -> None:
    """Up to an octave over the highest fret: 60 dB down at the clipper, before any cabinet, and after it."""
    gain = 10 ** ((MOST_GAIN - 10) / 20)
    assert highest_alias(Clipper(gain).run(sine(hertz, 2)), hertz) < -60
    assert highest_alias(amplify(sine(hertz, 2), choose_rig("full")), hertz) < -60


def test_full_gain_does_distort() -> None:
    spectrum = np.abs(np.fft.rfft(Clipper(30.0).run(sine(1000, 1)) * np.blackman(SAMPLE_RATE)))
    assert spectrum[3000] > 0.3 * spectrum[1000]  # a square wave's third partial is a third


def test_the_clipper_is_a_tanh_for_slow_signals() -> None:
    slow = sine(20.0, 0.5, 2.0)
    clipped = Clipper(1.0).run(slow)[LATENCY:]
    assert np.abs(clipped - np.tanh(slow[: len(clipped)]))[100:].max() < 1e-3


@pytest.mark.parametrize("rig", RIGS, ids=lambda rig: rig.name)
def test_blocks_of_any_length_sound_as_the_whole(rig: Rig) -> None:
    sound = np.random.default_rng(1).standard_normal(20_000).astype(np.float32) * 0.3
    whole, amplifier = Amplifier(rig).run(sound), Amplifier(rig)
    pieces = [amplifier.run(piece) for piece in np.split(sound, [1, 30, 7001, 15_000])]
    assert np.array_equal(np.concatenate(pieces), whole)
    assert np.isfinite(whole).all()


def test_the_amplifier_is_in_step_with_the_pickup() -> None:
    click = np.zeros(4800, np.float32)
    click[1000] = 0.01
    heard = np.abs(amplify(click))
    assert heard[:999].max() < 0.02 * heard.max()  # what the filter rings before it
    assert 1000 <= int(heard.argmax()) < 1020


@pytest.mark.parametrize(("kind", "hertz", "lifted"), [
    ("peak", 2600.0, 4.0), ("peak", 100.0, 0.0), ("low", 40.0, 4.0), ("low", 9000.0, 0.0),
    ("high", 15_000.0, 4.0), ("high", 100.0, 0.0),
])  # fmt: skip
def test_a_filter_lifts_what_it_says(kind: str, hertz: float, lifted: float) -> None:
    turn = {"peak": 2600.0, "low": 400.0, "high": 2600.0}[kind]
    heard = equalise(sine(hertz, 1, 1.0), ((kind, turn, 4.0, 0.7),))[SAMPLE_RATE // 2 :]
    assert 20 * np.log10(np.abs(heard).max()) == pytest.approx(lifted, abs=0.15)


def test_compression_holds_loud_down_and_the_room_rings_on() -> None:
    step = np.concatenate([sine(440, 1, 0.05), sine(440, 1, 0.5)])

    def ratio(rig: Rig) -> float:
        heard = np.abs(amplify(step, rig))
        return float(heard[80_000:90_000].max() / heard[30_000:40_000].max())

    assert ratio(Rig("plain", "", gain=0.0)) > 7  # 20 dB, a little rounded by the clipper
    assert ratio(Rig("held", "", gain=0.0, compression=24.0)) < 3.5
    burst = np.concatenate([sine(440, 0.2), np.zeros(SAMPLE_RATE, np.float32)])
    dry, wet = amplify(burst), amplify(burst, Rig("hall", "", room=0.3))
    after = slice(round(0.4 * SAMPLE_RATE), round(0.6 * SAMPLE_RATE))
    assert np.abs(dry[after]).max() < 1e-4 * np.abs(dry).max()
    assert 0.01 < np.abs(wet[after]).max() / np.abs(wet).max() < 0.5
    assert np.abs(wet[-4800:]).max() < np.abs(wet[after]).max() / 3


def test_no_sound_is_silence() -> None:
    for rig in RIGS:
        assert not amplify(np.zeros(4800, np.float32), rig).any()


def test_an_unknown_rig_and_senseless_gain_are_refused() -> None:
    with pytest.raises(InputError, match="there is no rig 'loud'; choose among mild, clean"):
        choose_rig("loud")
    for gain in (-1.0, 41.0, float("nan")):
        with pytest.raises(InputError, match="give 0 to 40"):
            with_gain(RIGS[0], gain)
