"""A recording of the player's own, slower at the same pitch.

What we play ourselves is played again at another tempo; this is only for audio that is already there.
Time stretching by python-stretch (MIT), with the block and step that kept attacks sharpest on plucked
strings in our measurements.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from solowright.errors import InputError
from solowright.sound.audio import all_or_none, audio_format, open_audio, write_blocks
from solowright.sound.string import Samples

BLOCK, STEP = 2048, 512  # samples
SLOWEST, FASTEST = 0.25, 2.0
LONGEST = 20 * 60.0  # seconds of recording


def slow_recording(source: str | Path, target: str | Path, speed: float) -> float:
    """Writes ``source`` at ``speed`` (0.5 is half) into ``target`` and tells the seconds it now lasts.

    Raises InputError for a speed outside 0.25 to 2, a file that is no audio or longer than 20 minutes,
    and a place that can't be written; then nothing is left half-written.
    """
    source, target = Path(source), Path(target)
    audio_format(target)
    if not SLOWEST <= speed <= FASTEST:
        raise InputError(f"the speed asked for is {speed:g}; give {SLOWEST:g} to {FASTEST:g}")
    sound, rate = _read(source)
    if target.suffix.lower() == ".opus" and rate != 48_000:
        raise InputError(f"{target}: Opus takes 48 kHz, the recording has {rate / 1000:g}; write .flac")
    slowed = stretched(sound, speed)
    with all_or_none((target,)) as (drafts, _), open_audio(drafts[0], target, slowed.shape[1], rate) as file:
        write_blocks(file, slowed)
    return len(slowed) / rate


def stretched(sound: Samples, speed: float) -> Samples:
    """Samples by channels at another speed: 1 / speed as long."""
    from python_stretch import Signalsmith

    stretch = Signalsmith.Stretch()
    stretch.configure(sound.shape[1], BLOCK, STEP)
    stretch.setTimeFactor(speed)
    return np.asarray(stretch.process(np.ascontiguousarray(sound.T)), np.float32).T


def _read(path: Path) -> tuple[Samples, int]:
    import soundfile

    try:
        with soundfile.SoundFile(path) as file:
            if file.frames / file.samplerate > LONGEST:
                raise InputError(f"{path}: longer than {LONGEST / 60:.0f} minutes; cut out what you practise")
            return file.read(dtype="float32", always_2d=True), file.samplerate
    except (OSError, soundfile.LibsndfileError) as error:
        reason = getattr(error, "strerror", None) or "not a sound file that can be read"
        raise InputError(f"{path}: can't be read ({reason}); give a WAV, FLAC, Ogg or MP3 file") from error
