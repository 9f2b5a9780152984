"""Audio files: WAV, FLAC, Ogg Vorbis and Opus by suffix, written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import secrets
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from solowright.errors import InputError
from solowright.sound.mix import Mix, mixed
from solowright.sound.string import SAMPLE_RATE, Samples

if TYPE_CHECKING:
    import soundfile

# suffix: (container, coding). 24 bits leave the player's own mixing room; Opus works at 48 kHz, as we do.
FORMATS = {
    ".wav": ("WAV", "PCM_24"),
    ".flac": ("FLAC", "PCM_24"),
    ".ogg": ("OGG", "VORBIS"),
    ".opus": ("OGG", "OPUS"),
}
_BLOCK = 1 << 16  # frames a write; the Vorbis coder wants small pieces


def write_audio(mix: Mix, path: str | Path, stems_dir: str | Path | None = None) -> None:
    """Writes the mix to ``path``, and every stem by its name and the same suffix into ``stems_dir``.

    Raises InputError for an unknown suffix or where a file can't be written; then no file is left
    half-written and none that was there is touched.
    """
    path = Path(path)
    audio_format(path)
    sounds = {path: mixed(mix)}
    if stems_dir is not None:
        sounds |= {Path(stems_dir) / f"{name}{path.suffix}": stem for name, stem in mix.stems.items()}
    with all_or_none(tuple(sounds), stems_dir) as (drafts, _):
        for sound, draft in zip(sounds.values(), drafts, strict=True):
            with open_audio(draft, path) as file:
                write_blocks(file, sound)


def audio_format(path: Path) -> tuple[str, str]:
    """The container and coding that a file's name asks for. Raises InputError where it asks for none."""
    if path.suffix.lower() not in FORMATS:
        raise InputError(f"{path}: end the name of a sound file in .wav, .flac, .ogg or .opus")
    return FORMATS[path.suffix.lower()]


def open_audio(
    draft: Path, named: Path, channels: int = 1, sample_rate: int = SAMPLE_RATE
) -> soundfile.SoundFile:
    """A sound file to write, in the format that the name ``named`` asks for."""
    import soundfile

    container, coding = audio_format(named)
    return soundfile.SoundFile(draft, "w", sample_rate, channels, coding, format=container)


def write_blocks(file: soundfile.SoundFile, sound: Samples) -> None:
    """Adds samples to a sound file."""
    for start in range(0, len(sound), _BLOCK):
        file.write(sound[start : start + _BLOCK])


@contextlib.contextmanager
def all_or_none(
    targets: tuple[Path, ...], folder: str | Path | None = None, rough: bool = False
) -> Iterator[tuple[tuple[Path, ...], Path]]:
    """Names to write first, beside the targets; put in place together, or cleared away on any error.

    ``folder`` is made where it is missing. The second name is for a rough file, cleared away always.
    """
    import soundfile

    places = tuple(Path(os.path.realpath(target)) for target in targets)  # a link stays a link
    if places[0] in places[1:]:
        raise InputError(f"{targets[0]}: a stem would take this name; name the mix otherwise")
    mark = secrets.token_hex(4)
    drafts = tuple(place.with_name(f".{place.name[:100]}.{mark}") for place in places)
    roughly = places[0].with_name(f".{mark}.rough")
    try:
        if rough:
            roughly.touch()  # an unwritable folder is refused before anything is played
        if folder is not None:
            Path(folder).mkdir(parents=True, exist_ok=True)
        yield drafts, roughly
        for draft, target in zip(drafts, places, strict=True):
            draft.replace(target)
    except (OSError, soundfile.LibsndfileError) as error:
        reason = getattr(error, "strerror", None) or str(error).rsplit(": ", 1)[-1]
        raise InputError(f"{targets[0]}: can't be written ({reason}); choose another place") from error
    finally:
        for draft in (*drafts, roughly):
            with contextlib.suppress(OSError):
                draft.unlink()
