"""A tune played straight into files, so that an hour takes no more memory than a minute.

Parts are played once, block by block, into a rough file beside the target; then the loudness of the whole
is known, and a second pass over the rough file writes the finished ones.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from solowright.music.tune import Tune
from solowright.sound.audio import all_or_none, audio_format, open_audio, write_blocks
from solowright.sound.blocks import BLOCK
from solowright.sound.excerpt import LONGEST
from solowright.sound.mix import Loudest, Playing, Wish, play, together
from solowright.sound.string import SAMPLE_RATE, Samples


def record(
    tune: Tune, path: str | Path, wish: Wish | None = None, stems_dir: str | Path | None = None
) -> float:
    """Plays a tune into ``path``, every stem into ``stems_dir`` too, and tells the seconds it lasts.

    What is heard is what ``mix.render`` and ``audio.write_audio`` give, up to two hours of it. Raises
    InputError for what can't be played or written; then no file is left half-written.
    """
    path = Path(path)
    audio_format(path)
    playing = play(tune, wish or Wish(), LONGEST)
    names = list(dict.fromkeys(name.removeprefix("break ") for name in playing.parts))
    targets = [path]
    if stems_dir is not None:
        targets += [Path(stems_dir) / f"{name}{path.suffix}" for name in names]
    with all_or_none(tuple(targets), stems_dir, rough=True) as (drafts, rough):
        gain = _play_roughly(playing, names, rough)
        files = [open_audio(draft, path) for draft in drafts]
        try:
            for stems in _read_roughly(names, playing.excerpt.length, rough):
                sounds = [gain * stem for stem in stems]
                write_blocks(files[0], together(dict(zip(names, sounds, strict=True))))
                for file, sound in zip(files[1:], sounds, strict=False):
                    write_blocks(file, sound)
        finally:
            for file in files:
                file.close()
    return playing.excerpt.length / SAMPLE_RATE


def _play_roughly(playing: Playing, names: list[str], rough: Path) -> np.float32:
    """Writes every block of every stem down, one after the other, and tells the gain they need."""
    loudest = Loudest()
    with rough.open("wb") as file:
        for stems in playing.blocks():
            loudest.add(stems, playing.excerpt)
            for name in names:
                file.write(np.ascontiguousarray(stems[name], np.float32).tobytes())
    return np.float32(loudest.gain())


def _read_roughly(names: list[str], length: int, rough: Path) -> Iterator[list[Samples]]:
    with rough.open("rb") as file:
        for start in range(0, length, BLOCK):
            frames = min(BLOCK, length - start)
            yield [np.fromfile(file, np.float32, frames) for _ in names]
