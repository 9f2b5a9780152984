"""The tune as audio: every part rendered on its own, in balance, at a sensible loudness.

Stems are mono, of one length, and add up to the mix sample by sample. Balance is fixed; then one gain
over all brings the mix to ``LOUDNESS`` (ITU-R BS.1770) or as near as ``CEILING`` lets it.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from random import Random

import numpy as np

from solowright.errors import InputError
from solowright.music.time import Time
from solowright.music.tune import Tune
from solowright.sound.band import BandNote, read_bars, silences
from solowright.sound.bass import bass_line, sound_bass
from solowright.sound.comping import answer, comp
from solowright.sound.drums import drum_part
from solowright.sound.excerpt import Excerpt, choose
from solowright.sound.guitar import play_guitar
from solowright.sound.keys import sound_brass, sound_piano
from solowright.sound.kit import sound_clicks, sound_drums
from solowright.sound.level import loudness, true_peak
from solowright.sound.string import SAMPLE_RATE, Samples
from solowright.sound.tone import amplify

# Every part and its share of the mix, set by measured loudness so that the guitar stands in front.
BALANCE = {"guitar": 0.11, "bass": 0.09, "drums": 0.20, "comping": 0.026, "brass": 0.028, "click": 0.086}
STEMS = tuple(BALANCE)
LOUDNESS = -18.0  # LUFS
CEILING = -1.5  # dB true peak, estimated: leaves lossy files half a decibel under -1
_EDGE = round(0.004 * SAMPLE_RATE)  # fade where the audio begins and where it is cut
_CHOKE = round(0.02 * SAMPLE_RATE)  # in which the band stops dead at a break


@dataclass(frozen=True, slots=True, eq=False)
class Mix:
    """Rendered parts by name, float32, all of one length. ``lead`` is the seconds of count-in.

    A part that has nothing to play has no stem.
    """

    sample_rate: int
    stems: dict[str, Samples]
    lead: float

    @property
    def seconds(self) -> float:
        """Length of the audio."""
        return len(next(iter(self.stems.values()))) / self.sample_rate


def render(
    tune: Tune,
    *,
    bars: tuple[int, int] | None = None,
    tempo: float | None = None,
    count_in: bool = True,
    stems: Collection[str] = STEMS,
    seed: int = 1,
) -> Mix:
    """Plays a tune: the line on the guitar, a band from the chart, a bar of count-in.

    ``bars`` are the first and last bar as players number them; ``tempo`` replaces the tune's first
    tempo, in quarter notes a minute, and later ones in proportion. Notes that began before the first
    bar are left out. An excerpt that holds the tune's last bar rings out after it, any other ends on
    the barline. ``seed`` settles the band's free choices; each bar is played the same in any excerpt.

    Raises InputError for bars, tempos, lengths or stems that can't be played.
    """
    if unknown := sorted(set(stems) - set(STEMS)):
        raise InputError(f"there is no stem '{unknown[0]}'; choose among {', '.join(STEMS)}")
    excerpt = choose(tune, bars, tempo, count_in)
    parts = _parts(excerpt, seed)
    played = {name: play() for name, play in parts.items() if name in stems and play is not None}
    if not played:
        raise InputError("nothing to play: these bars hold no part that was asked for")
    return Mix(SAMPLE_RATE, _level(_finish(played, excerpt), excerpt), excerpt.lead)


def mixed(mix: Mix) -> Samples:
    """All stems together."""
    return _sum(mix.stems)


def _sum(stems: dict[str, Samples]) -> Samples:
    total = np.zeros_like(next(iter(stems.values())))
    for stem in stems.values():
        total += stem
    return total


def _parts(excerpt: Excerpt, seed: int) -> dict[str, Callable[[], Samples] | None]:
    """How to play each part, None where it has nothing to play in the excerpt."""
    tune = excerpt.tune
    bars = read_bars(tune.chart)
    bass = _heard(bass_line(bars, tune.feel, Random(seed)), excerpt)
    comping = _heard(comp(bars, tune.feel, Random(seed + 1)), excerpt)
    brass = _heard(answer(bars), excerpt)
    drums = tuple(s for s in drum_part(bars, tune.feel, Random(seed + 2)) if excerpt.holds(s.onset))
    line = any(excerpt.holds(note.onset) for note in tune.line.notes)
    return {
        "guitar": (lambda: amplify(play_guitar(excerpt))) if line else None,
        "bass": (lambda: sound_bass(bass, excerpt)) if bass else None,
        "drums": (lambda: sound_drums(drums, excerpt)) if drums else None,
        "comping": (lambda: sound_piano(comping, excerpt)) if comping else None,
        "brass": (lambda: sound_brass(brass, excerpt)) if brass else None,
        "click": (lambda: sound_clicks(excerpt)) if excerpt.clicks else None,
    }


def _heard(notes: tuple[BandNote, ...], excerpt: Excerpt) -> tuple[BandNote, ...]:
    return tuple(note for note in notes if excerpt.holds(note.onset))


def _finish(stems: dict[str, Samples], excerpt: Excerpt) -> dict[str, Samples]:
    """Balance, the band's breaks, and ends that don't click."""
    for name, stem in stems.items():
        stem *= np.float32(BALANCE[name])
        if name in ("bass", "drums", "comping"):
            for start, end in silences(read_bars(excerpt.tune.chart)):
                _hush(stem, excerpt, start, end)
        fade = len(stem) - excerpt.ring_out or _EDGE
        stem[-fade:] *= np.cos(np.linspace(0, np.pi / 2, fade, dtype=np.float32)) ** 2
    return stems


def _hush(stem: Samples, excerpt: Excerpt, start: Time, end: Time) -> None:
    """Chokes what rings at ``start`` and leaves nothing until ``end``."""
    if end <= excerpt.start or start >= excerpt.end:
        return
    first = excerpt.sample(max(start, excerpt.start))
    last = len(stem) if end >= excerpt.end else excerpt.sample(end)
    stem[first : first + _CHOKE] *= np.linspace(1, 0, len(stem[first : first + _CHOKE]), dtype=np.float32)
    stem[first + _CHOKE : last] = 0.0


def _level(stems: dict[str, Samples], excerpt: Excerpt) -> dict[str, Samples]:
    """One gain over all stems: to LOUDNESS, or to CEILING where that is lower."""
    together = _sum(stems)
    loud = loudness(together[excerpt.sample(excerpt.start) :])
    peak = max(true_peak(sound) for sound in (together, *stems.values()))
    wanted = 10 ** ((LOUDNESS - loud) / 20) if np.isfinite(loud) else 1.0  # too short to measure, or silent
    gain = min(wanted, 10 ** (CEILING / 20) / max(peak, 1e-9))
    for stem in stems.values():
        stem *= np.float32(gain)
    return stems
