"""The sound of a tune on the desk: one file a stem, named by what it holds.

All stems of a tempo are of one length, count-in and all, and fit together sample by sample. A stem's name
(its key) is a digest of just what it depends on, so an edit of the line leaves the band as it is. Levels
are fixed and not brought to a loudness, which would hang on every other stem.
"""

from __future__ import annotations

import hashlib
import os
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from operator import attrgetter
from pathlib import Path

from solowright import __version__
from solowright.errors import InputError
from solowright.music.line import EMPTY_LINE, Note
from solowright.music.tune import Tune

STEMS = ("guitar", "bass", "drums", "comping", "brass", "click")
SUFFIX = ".flac"
LEVEL = 1.7  # over the mix's balance: what brings our tunes to about its usual loudness; none clips
SLOWEST, FASTEST = 20, 150  # percent of the show tempo
KEPT = 8192  # notes of which is kept what is heard
FINENESS = 3  # decimals of a percent: no ear tells the tempos between
_SILENT_FIELDS = ("finger",)  # what of a note can't be heard
_HEARD = tuple(field.name for field in fields(Note) if field.name not in _SILENT_FIELDS)


@dataclass(frozen=True, slots=True)
class Stem:
    """A stem to be played: of a fingered tune, at ``percent`` of its tempo; ``gain`` is the guitar's in dB,
    None as the rig has it."""

    tune: Tune
    name: str
    percent: float = 100.0
    gain: float | None = None

    def key(self) -> str:
        """The name under which the sound is kept."""
        gain = self.gain if self.name == "guitar" else None
        percent = round(float(self.percent), FINENESS)
        told = (__version__, self.name, percent, gain, *_told(self.tune, self.name))
        return hashlib.sha256(repr(told).encode()).hexdigest()[:32]

    def lead(self) -> float:
        """Seconds of count-in before the tune begins."""
        from solowright.sound.excerpt import choose

        tempo = self.tune.tempo.first * self.percent / 100
        return choose(replace(self.tune, line=EMPTY_LINE), None, tempo, True, True).lead


def find_stems(tune: Tune) -> tuple[str, ...]:
    """The stems that a tune has."""
    answers = any(bar.answer or bar.answered for bar in tune.chart.bars)
    absent = {"guitar"} if not tune.line.notes else set()
    absent |= set() if answers else {"brass"}
    return tuple(name for name in STEMS if name not in absent)


@lru_cache(16)
def stem_keys(tune: Tune) -> dict[str, str]:
    """The keys of a fingered tune's stems at its own tempo, by name."""
    return {name: Stem(tune, name).key() for name in find_stems(tune)}


def _told(tune: Tune, name: str) -> tuple[object, ...]:
    """What a stem depends on, as plain values."""
    if name == "guitar":
        line = [_told_note(note, note.spelled) for note in tune.line.notes]
        return (*_told_time(tune), tune.tuning, tune.capo, line)
    return _told_time(tune) if name == "click" else _told_band(tune)


_heard_of = attrgetter(*_HEARD)


@lru_cache(KEPT)
def _told_note(note: Note, spelled: bool) -> tuple[str, ...]:
    """What is heard of a note; ``spelled`` is no part of what makes notes equal."""
    return tuple(map(str, _heard_of(note)))


@lru_cache(2)  # a tune's stems are asked for one after the other
def _told_time(tune: Tune) -> tuple[object, ...]:
    chart = tune.chart
    changes = [(str(time), bpm) for time, bpm in tune.tempo.changes]
    bars = [(str(bar.meter), str(bar.short)) for bar in chart.bars]
    return str(tune.feel.ratio), str(tune.feel.unit), changes, chart.pickup, bars


@lru_cache(2)
def _told_band(tune: Tune) -> tuple[object, ...]:
    bars = [
        (
            [(str(at.offset), at.chord and at.chord.symbol) for at in bar.chords],
            (bar.pause, bar.answered, list(map(str, bar.hits)), list(map(str, bar.answer))),
        )
        for bar in tune.chart.bars
    ]
    return (*_told_time(tune), tune.key.name, tune.chart.section_starts, bars)


def write_stem(stem: Stem, path: Path) -> None:
    """Plays a stem into a file. Raises InputError for what can't be played. Runs in the back room."""
    import numpy as np
    import soundfile

    from solowright.sound.mix import Wish, play
    from solowright.sound.string import SAMPLE_RATE
    from solowright.sound.tone import MILD, with_gain

    if not SLOWEST <= stem.percent <= FASTEST:
        raise InputError(
            f"{stem.percent:g} % of the tempo can't be heard here; ask for {SLOWEST} to {FASTEST}"
        )
    rig = MILD if stem.gain is None else with_gain(MILD, stem.gain)
    tempo = stem.tune.tempo.first * stem.percent / 100
    wish = Wish(tempo=tempo, clicked=True, stems=(stem.name, "click"), rig=rig)
    playing = play(stem.tune, wish, _LONGEST)
    draft = path.with_name(f".{path.stem}-{os.getpid()}.draft")
    try:
        with soundfile.SoundFile(draft, "w", SAMPLE_RATE, 1, "PCM_16", format="FLAC") as file:
            alone = replace(playing, parts={n: p for n, p in playing.parts.items() if n == stem.name})
            if not alone.parts:  # nothing to play, and the others go on
                file.write(np.zeros(playing.excerpt.length, np.float32))
            for block in alone.blocks() if alone.parts else ():
                file.write(np.clip(np.float32(LEVEL) * block[stem.name], -1.0, 1.0))
        draft.replace(path)
    finally:
        draft.unlink(missing_ok=True)


_LONGEST = 30 * 60.0  # seconds
