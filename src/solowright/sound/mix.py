"""The tune as audio: every part rendered on its own, in balance, at a sensible loudness.

Stems are mono, of one length, and add up to the mix sample by sample. Balance is fixed; then one gain
over all brings the mix to ``LOUDNESS`` (ITU-R BS.1770) or as near as ``CEILING`` lets it. Parts come in
blocks: ``render`` keeps them, ``recording.record`` sends them to a file.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from itertools import pairwise
from random import Random
from typing import Protocol

import numpy as np

from solowright.errors import InputError
from solowright.music.tune import Tune
from solowright.sound.band import BandNote, read_bars, silences
from solowright.sound.bass import bass_line
from solowright.sound.bass_voice import bass_blocks
from solowright.sound.blocks import cut
from solowright.sound.comping import answer, comp
from solowright.sound.drums import break_hats, drum_part
from solowright.sound.excerpt import LONGEST_HELD, Excerpt, choose
from solowright.sound.filters import LATENCY
from solowright.sound.guitar import guitar_blocks
from solowright.sound.keys import brass_blocks, drone_blocks, piano_blocks
from solowright.sound.kit import click_blocks, drum_blocks
from solowright.sound.level import Meter, true_peak
from solowright.sound.string import SAMPLE_RATE, Samples
from solowright.sound.styles import choose_style
from solowright.sound.tone import MILD, Amplifier, Rig

# Every part and its share of the mix, set by measured loudness so that the guitar stands in front.
BALANCE = {
    **{"guitar": 0.11, "bass": 0.09, "drums": 0.20, "comping": 0.026, "brass": 0.028, "click": 0.086},
    "drone": 0.012,
}
STEMS = ("guitar", "bass", "drums", "comping", "brass", "click")  # what is played unless others are asked for
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


@dataclass(frozen=True, slots=True)
class Wish:
    """How the tune is to be played.

    ``bars`` are the first and last bar as players number them; ``tempo`` replaces the tune's first
    tempo, in quarter notes a minute, and later ones in proportion. ``count_in`` is a bar of clicks,
    ``clicked`` a click on every beat. ``stems`` may name ``drone`` (tonic and fifth of the key) too.
    ``style`` is the band's, by the feel where it is None; ``break_hats`` keeps a hi-hat going in breaks;
    ``rig`` is the guitar's; ``seed`` settles the band's free choices.
    """

    bars: tuple[int, int] | None = None
    tempo: float | None = None
    count_in: bool = True
    clicked: bool = False
    stems: Collection[str] = STEMS
    style: str | None = None
    break_hats: bool = False
    rig: Rig = MILD
    seed: int = 1


def render(
    tune: Tune,
    *,
    bars: tuple[int, int] | None = None,
    tempo: float | None = None,
    count_in: bool = True,
    clicked: bool = False,
    stems: Collection[str] = STEMS,
    style: str | None = None,
    break_hats: bool = False,
    rig: Rig = MILD,
    seed: int = 1,
) -> Mix:
    """Plays a tune: the line on the guitar, a band from the chart, a bar of count-in (see ``Wish``).

    Notes that began before the first bar are left out. An excerpt that holds the tune's last bar rings
    out after it, any other ends on the barline. Each bar is played the same in any excerpt.

    Raises InputError for bars, tempos, lengths, styles or stems that can't be played.
    """
    wish = Wish(bars, tempo, count_in, clicked, stems, style, break_hats, rig, seed)
    playing = play(tune, wish, LONGEST_HELD)
    parts: dict[str, list[Samples]] = {}
    loudest = Loudest()
    for stems_now in playing.blocks():
        loudest.add(stems_now, playing.excerpt)
        for name, block in stems_now.items():
            parts.setdefault(name, []).append(block)
    gain = np.float32(loudest.gain())
    whole = {name: gain * np.concatenate(blocks) for name, blocks in parts.items()}
    return Mix(SAMPLE_RATE, whole, playing.excerpt.lead)


def mixed(mix: Mix) -> Samples:
    """All stems together."""
    return together(mix.stems)


def together(stems: dict[str, Samples]) -> Samples:
    """The sum of stems."""
    total = np.zeros_like(next(iter(stems.values())))
    for stem in stems.values():
        total += stem
    return total


class Part(Protocol):
    """How a part is played: its blocks between the cuts."""

    def __call__(self, excerpt: Excerpt, cuts: Sequence[int]) -> Iterator[Samples]: ...


@dataclass(frozen=True)
class Playing:
    """An excerpt and the parts that have something to play in it, ready to sound."""

    excerpt: Excerpt
    parts: dict[str, Part]

    @cached_property
    def _hushes(self) -> list[tuple[int, int]]:
        """(first, last) sample of every break."""
        excerpt = self.excerpt
        return [
            (
                excerpt.sample(max(start, excerpt.start)),
                excerpt.length if end >= excerpt.end else excerpt.sample(end),
            )
            for start, end in silences(read_bars(excerpt.tune.chart))
            if end > excerpt.start and start < excerpt.end
        ]

    def blocks(self) -> Iterator[dict[str, Samples]]:
        """All parts block by block, in balance, with the band's breaks and ends that don't click."""
        cuts = cut(self.excerpt.length)
        running = {name: part(self.excerpt, cuts) for name, part in self.parts.items()}
        for start, _ in pairwise(cuts):
            stems = {}
            for name, blocks in running.items():
                stem = np.float32(BALANCE[name.removeprefix("break ")]) * next(blocks)
                if name in ("bass", "drums", "comping"):
                    for first, last in self._hushes:
                        _hush(stem, start, first, last)
                self._fade(stem, start)
                stems[name] = stem
            if "break drums" in stems:
                stems["drums"] = stems.get("drums", np.float32(0)) + stems.pop("break drums")
            yield stems

    def _fade(self, stem: Samples, start: int) -> None:
        fade = self.excerpt.length - self.excerpt.ring_out or _EDGE
        since = np.arange(start, start + len(stem)) - (self.excerpt.length - fade)
        if since[-1] >= 0:
            stem *= np.cos(np.clip(since / (fade - 1), 0, 1) * np.pi / 2).astype(np.float32) ** 2


def _hush(stem: Samples, start: int, first: int, last: int) -> None:
    """Chokes what rings at sample ``first`` and leaves nothing until ``last``; the stem is at ``start``."""
    a, b = max(first - start, 0), min(last - start, len(stem))
    if a < b:
        since = np.arange(start + a, start + b) - first
        stem[a:b] *= np.clip(1 - since / (_CHOKE - 1), 0, 1).astype(np.float32)


def play(tune: Tune, wish: Wish, longest: float) -> Playing:
    """A tune made ready to sound. Raises InputError for what can't be played."""
    if unknown := sorted(set(wish.stems) - set(BALANCE)):
        raise InputError(f"there is no stem '{unknown[0]}'; choose among {', '.join(BALANCE)}")
    style = choose_style(wish.style, tune.feel)
    excerpt = choose(tune, wish.bars, wish.tempo, wish.count_in, wish.clicked, longest)
    bars = read_bars(tune.chart)
    bass = _heard(bass_line(bars, style, Random(wish.seed)), excerpt)
    comping = _heard(comp(bars, style, Random(wish.seed + 1)), excerpt)
    brass = _heard(answer(bars), excerpt)
    strokes = drum_part(bars, style, tune.feel, Random(wish.seed + 2))
    drums = tuple(stroke for stroke in strokes if excerpt.holds(stroke.onset))
    hats = tuple(s for s in break_hats(bars) if excerpt.holds(s.onset)) if wish.break_hats else ()
    tonic = 48 + tune.key.tonic.pitch_class
    parts: dict[str, Part | None] = {
        "guitar": partial(_guitar, wish.rig) if _has_line(excerpt) else None,
        "bass": partial(bass_blocks, bass) if bass else None,
        "drums": partial(drum_blocks, drums) if drums else None,
        "comping": partial(piano_blocks, comping) if comping else None,
        "brass": partial(brass_blocks, brass) if brass else None,
        "click": click_blocks if excerpt.clicks else None,
        "drone": partial(drone_blocks, (tonic, tonic + 7)),
        "break drums": partial(drum_blocks, hats) if hats else None,
    }
    wanted = {*wish.stems, *(("break drums",) if "drums" in wish.stems else ())}
    played = {name: part for name, part in parts.items() if part is not None and name in wanted}
    if not played:
        raise InputError("nothing to play: these bars hold no part that was asked for")
    return Playing(excerpt, played)


def _guitar(rig: Rig, excerpt: Excerpt, cuts: Sequence[int]) -> Iterator[Samples]:
    """The line through its rig. What the amplifier gives out late is asked of the strings early."""
    early = (0, *(stop + LATENCY for stop in cuts[1:]))
    amplifier = Amplifier(rig)
    for n, wave in enumerate(guitar_blocks(excerpt, early, rig.pickup)):
        sound = amplifier.run(wave)
        yield sound[LATENCY:] if n == 0 else sound


def _has_line(excerpt: Excerpt) -> bool:
    return any(excerpt.holds(note.onset) for note in excerpt.tune.line.notes)


def _heard(notes: tuple[BandNote, ...], excerpt: Excerpt) -> tuple[BandNote, ...]:
    return tuple(note for note in notes if excerpt.holds(note.onset))


class Loudest:
    """How loud a mix and how high it and its stems are, and so by how much all must be raised."""

    def __init__(self) -> None:
        self.meter, self.peak, self.place = Meter(), 0.0, 0

    def add(self, stems: dict[str, Samples], excerpt: Excerpt) -> None:
        """Takes in the next block of every stem. The count-in is not measured for loudness."""
        total = together(stems)
        self.peak = max(self.peak, *(true_peak(sound) for sound in (total, *stems.values())))
        self.meter.add(total[max(0, excerpt.sample(excerpt.start) - self.place) :])
        self.place += len(total)

    def gain(self) -> float:
        """One gain over all stems: to LOUDNESS, or to CEILING where that is lower."""
        loud = self.meter.loudness()
        wanted = 10 ** ((LOUDNESS - loud) / 20) if np.isfinite(loud) else 1.0  # too short, or silent
        return float(min(wanted, 10 ** (CEILING / 20) / max(self.peak, 1e-9)))
