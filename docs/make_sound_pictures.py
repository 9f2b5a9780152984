"""Makes the pictures of docs/sound.md: every technique's spectrogram and level, and a speak report.

Run ``python docs/make_sound_pictures.py``; it needs matplotlib.
"""

from __future__ import annotations

from fractions import Fraction as F  # noqa: N817
from pathlib import Path

import matplotlib
import numpy as np

from solowright.music.chart import Bar, Chart, ChordAt, Section
from solowright.music.chord import parse_chord
from solowright.music.line import Bend, Note, make_line
from solowright.music.pitch import plain
from solowright.music.time import steady
from solowright.music.tune import Tune
from solowright.sound.excerpt import choose
from solowright.sound.guitar import play_guitar
from solowright.sound.speak import speak_report
from solowright.sound.speak_words import speak_svg
from solowright.sound.string import SAMPLE_RATE, Samples

FOLDER = Path(__file__).with_name("pictures")


def _note(midi: int, onset: float, length: float, **how: object) -> Note:
    return Note(plain(midi), F(onset), F(length), **{"string": 2, **how})  # type: ignore[arg-type]


# A second of each at 120: what it is called, and its notes.
TECHNIQUES: dict[str, list[Note]] = {
    "picked, picked": [_note(69, 0, 1), _note(71, 1, 1)],
    "picked, hammered": [_note(69, 0, 1), _note(71, 1, 1, entry="hammer")],
    "picked, pulled": [_note(71, 0, 1), _note(69, 1, 1, entry="pull")],
    "slide over four frets": [_note(67, 0, 1), _note(71, 1, 1, entry="slide")],
    "bend of a whole tone and back": [_note(69, 0, 2, bends=(Bend(F(2)), Bend(F(0), "release")))],
    "vibrato": [_note(69, 0, 2, vibrato=True)],
    "trill": [_note(69, 0, 2, trill=2)],
    "natural harmonic": [_note(71, 0, 2, fret=12, entry="harmonic")],
    "palm mute": [_note(52, n / 2, F(1, 2), string=6, palm_mute=True) for n in range(4)],
    "dead notes": [_note(59, n / 2, F(1, 2), dead=True) for n in range(4)],
    "let ring over the next string": [_note(55, 0, 1, string=3, let_ring=True), _note(64, 1, 1, string=1)],
    "stopped, then open strings hum": [_note(57, 0, F(1, 2), string=3)],
}


def _tune(notes: list[Note], bars: int = 1, tempo: float = 120.0) -> Tune:
    bar = Bar(chords=(ChordAt(F(0), parse_chord("A7")),))
    chart = Chart((Section("A", (bar,) * bars),))
    return Tune("Slurs by turns", chart, make_line(notes), tempo=steady(tempo))


def _level(sound: Samples) -> Samples:
    """dB of each 10 ms to the loudest."""
    step = SAMPLE_RATE // 100
    energy = (sound[: len(sound) // step * step].reshape(-1, step).astype(float) ** 2).mean(axis=1)
    return np.asarray(10 * np.log10(energy / energy.max() + 1e-9), np.float32)


def draw_techniques(path: Path) -> None:
    """Two rows a technique: where its energy lies, and how loud it is, before gain."""
    matplotlib.use("Agg")
    from matplotlib import pyplot

    figure, axes = pyplot.subplots(8, 3, figsize=(11, 13), height_ratios=[2, 1] * 4, sharex=True)
    for n, (name, notes) in enumerate(TECHNIQUES.items()):
        sound = play_guitar(choose(_tune(notes), None, None, False))[: round(1.3 * SAMPLE_RATE)]
        top, under = axes[n // 3 * 2, n % 3], axes[n // 3 * 2 + 1, n % 3]
        how = {"NFFT": 2048, "noverlap": 1792, "vmin": -150, "vmax": -50, "cmap": "magma"}
        top.specgram(sound + 1e-7, Fs=SAMPLE_RATE, **how)
        top.set(ylim=(0, 5000), title=name)
        under.plot(np.arange(len(_level(sound))) / 100, _level(sound), color="#0072B2", linewidth=1.2)
        under.set(ylim=(-65, 3), xlim=(0, 1.25))
        if n % 3 == 0:
            top.set_ylabel("hertz")
            under.set_ylabel("dB")
    for axis in axes[-1]:
        axis.set_xlabel("seconds")
    figure.tight_layout()
    figure.savefig(path, dpi=80)


def slurs_by_turns() -> Tune:
    """Six notes a second on one string: picked, hammered, picked, pulled."""
    steps = ((69, "pick"), (71, "hammer"), (71, "pick"), (69, "pull"))
    notes = [_note(steps[n % 4][0], n / 2, F(1, 2), entry=steps[n % 4][1]) for n in range(32)]
    return _tune([*notes, _note(64, 16, 2), _note(60, 16, 2, string=3)], bars=5, tempo=180.0)


def main() -> None:
    """Writes both pictures."""
    FOLDER.mkdir(exist_ok=True)
    draw_techniques(FOLDER / "techniques.png")
    (FOLDER / "speak.svg").write_text(speak_svg(speak_report(slurs_by_turns(), compare=False)), "utf-8")


if __name__ == "__main__":
    main()
