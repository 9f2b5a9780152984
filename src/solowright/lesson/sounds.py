"""The lesson's audio: the tune rendered at each tempo once, and coded for every student's machine.

MP3 (MPEG-1 layer III) plays everywhere, browsers on telephones included, which Ogg does not. A coder
adds silence in front that not every decoder takes away again: ``probe`` is a click coded the same way,
so that whoever decodes can measure how much is left and take it off.
"""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO

import numpy as np

from solowright.music.tune import Tune
from solowright.sound.mix import Mix, render, together
from solowright.sound.string import SAMPLE_RATE, Samples

FULL, SLOW = 1.0, 0.6  # shares of the show tempo: the files, and the film
SHARES = (FULL, 0.8, SLOW)  # what the students' page can play
FINE, SMALL = 0.3, 0.6  # how strongly is coded, 0 to 1: about 90 and 55 kbit/s for a full mix
PROBE_AT = 0.1  # seconds into the probe at which its click begins
_PROBE_LENGTH = 0.3


@dataclass(frozen=True, slots=True)
class Played:
    """The tune at a share of its tempo, with a click all through."""

    share: float
    tempo: float
    mix: Mix

    @property
    def counted_in(self) -> Mix:
        """The same with the click in its count-in only."""
        click = self.mix.stems["click"].copy()
        click[round(self.mix.lead * self.mix.sample_rate) :] = 0.0
        return Mix(self.mix.sample_rate, {**self.mix.stems, "click": click}, self.mix.lead)


def play_at(tune: Tune, share: float) -> Played:
    """Plays a fingered tune at a share of its tempo. Raises InputError where it can't be."""
    tempo = tune.tempo.first * share
    return Played(share, tempo, render(tune, tempo=tempo, clicked=True))


def mixes_of(played: Played) -> tuple[tuple[str, Samples], ...]:
    """(name, sound) of the files a student gets at this tempo."""
    stems = played.counted_in.stems
    band = {name: stem for name, stem in stems.items() if name != "guitar"}
    alone = {name: stem for name, stem in stems.items() if name in ("guitar", "click")}
    return (("full", together(stems)), ("without-guitar", together(band)), ("guitar-alone", together(alone)))


def switched(played: Played) -> dict[str, Samples]:
    """The stems of the students' page, from the tune's first bar on: the band's answers with the
    comping, no click (the page makes its own)."""
    stems = dict(played.mix.stems)
    del stems["click"]
    if "brass" in stems:
        brass = stems.pop("brass")
        stems["comping"] = stems["comping"] + brass if "comping" in stems else brass
    lead = round(played.mix.lead * played.mix.sample_rate)
    return {name: stem[lead:] for name, stem in stems.items()}


def code(sound: Samples, strength: float) -> bytes:
    """Samples at the common rate as MP3, variable in bits."""
    import soundfile

    out = BytesIO()
    with soundfile.SoundFile(
        out, "w", SAMPLE_RATE, 1, "MPEG_LAYER_III", format="MP3", compression_level=strength,
        bitrate_mode="VARIABLE",
    ) as file:  # fmt: skip
        file.write(sound)
    return out.getvalue()


def probe(strength: float) -> bytes:
    """A click at ``PROBE_AT`` in silence, coded like the rest."""
    sound = np.zeros(round(_PROBE_LENGTH * SAMPLE_RATE), np.float32)
    start = round(PROBE_AT * SAMPLE_RATE)
    sound[start : start + 64] = 0.7 * np.sin(np.pi * np.arange(64) / 8)
    return code(sound, strength)


def percent(share: float) -> int:
    """A share of the tempo as players say it."""
    return round(100 * share)
