"""Audio files: WAV, FLAC and Ogg Vorbis by suffix, written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import secrets
from collections.abc import Iterator
from pathlib import Path

from solowright.errors import InputError
from solowright.sound.mix import Mix, mixed
from solowright.sound.string import Samples

# suffix: (container, coding). 24 bits leave the player's own mixing room.
FORMATS = {".wav": ("WAV", "PCM_24"), ".flac": ("FLAC", "PCM_24"), ".ogg": ("OGG", "VORBIS")}
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
    with _all_or_none(tuple(sounds)) as drafts:
        if stems_dir is not None:
            Path(stems_dir).mkdir(parents=True, exist_ok=True)
        for (target, sound), draft in zip(sounds.items(), drafts, strict=True):
            _write(sound, mix.sample_rate, draft, *audio_format(target))


def audio_format(path: Path) -> tuple[str, str]:
    """The container and coding that a file's name asks for. Raises InputError where it asks for none."""
    if path.suffix.lower() not in FORMATS:
        raise InputError(f"{path}: end the name of a sound file in .wav, .flac or .ogg")
    return FORMATS[path.suffix.lower()]


@contextlib.contextmanager
def _all_or_none(targets: tuple[Path, ...]) -> Iterator[tuple[Path, ...]]:
    """Names to write first, beside the targets; put in place together, or cleared away on any error."""
    import soundfile

    places = tuple(Path(os.path.realpath(target)) for target in targets)  # a link stays a link
    drafts = tuple(place.with_name(f".{place.name[:100]}.{secrets.token_hex(4)}") for place in places)
    try:
        yield drafts
        for draft, target in zip(drafts, places, strict=True):
            draft.replace(target)
    except (OSError, soundfile.LibsndfileError) as error:
        reason = getattr(error, "strerror", None) or str(error).rsplit(": ", 1)[-1]
        raise InputError(f"{targets[0]}: can't be written ({reason}); choose another place") from error
    finally:
        for draft in drafts:
            with contextlib.suppress(OSError):
                draft.unlink()


def _write(sound: Samples, sample_rate: int, path: Path, container: str, coding: str) -> None:
    import soundfile

    with soundfile.SoundFile(path, "w", sample_rate, 1, coding, format=container) as file:
        for start in range(0, len(sound), _BLOCK):
            file.write(sound[start : start + _BLOCK])
