"""From a tune to what is made of it: the fingered line, its reading, a page, audio.

The commands, the demo and other programs take the same few steps; they stand here once.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from solowright.errors import InputError
from solowright.files.whole import write_whole
from solowright.music.tune import Tune

if TYPE_CHECKING:
    from solowright.harmony import Reading
    from solowright.neck import Fingering, Player
    from solowright.sound.mix import Wish
    from solowright.sound.speak import SpeakReport

Step = Callable[[], None]  # called when one of the announced steps is done
PAGE_SUFFIXES = (".pdf", ".svg", ".png")


@dataclass(frozen=True)
class Worked:
    """A tune with its line fingered, and how it was worked out."""

    tune: Tune
    fingering: Fingering
    reading: Reading | None


def work_out(
    tune: Tune, *, player: Player | None = None, reasons: bool = True, step: Step = lambda: None
) -> Worked:
    """Fingers the line for a player and, where ``reasons`` are wanted, reads it. Two steps.

    Raises InputError, with bar and beat, for a line that no hand can play.
    """
    from solowright.neck import apply_path, finger

    fingering = finger(tune, player)
    step()
    reading = None
    if reasons:
        from solowright.harmony import read_spelled

        tune, reading = read_spelled(tune)
    step()
    return Worked(apply_path(tune, fingering.paths[0]), fingering, reading)


def make_easier(tune: Tune, player: Player | None = None) -> tuple[Tune, list[str]]:
    """The line changed as little as lets it be played at its tempo, and what was changed, in words.

    The notes that phrases land on stay. Raises InputError where no hand can hold the line even so.
    """
    from solowright.harmony import read_spelled
    from solowright.neck import easier

    spelled, reading = read_spelled(tune)
    made = easier(spelled, player, keep=frozenset(landing.note for landing in reading.targets))
    told = [f"{change.what}: up to {change.limit_tempo:.0f}" for change in made.changes]
    return made.tune, [made.sentence, *told]


def write_page(
    tune: Tune,
    path: Path,
    *,
    player: Player | None = None,
    reasons: bool = True,
    step: Step = lambda: None,
) -> None:
    """Engraves the tune to ``path`` in three steps: a booklet (``.pdf``), one long page (``.svg``, ``.png``).

    Raises InputError for another suffix, a line that can't be played or written, an unwritable place.
    """
    suffix = path.suffix.lower()
    if suffix not in PAGE_SUFFIXES:
        raise InputError(f"{path}: a page is written as .pdf, .svg or .png; give the file one of these names")
    worked = work_out(tune, player=player, reasons=reasons, step=step)
    from solowright.page.booklet import booklet, page_png, page_svg

    if suffix == ".pdf":
        left_handed = player is not None and player.left_handed
        data = booklet(worked.tune, worked.reading, worked.fingering, left_handed)
    elif suffix == ".svg":
        data = page_svg(worked.tune, worked.reading).encode()
    else:
        data = page_png(worked.tune, worked.reading)
    write_whole(path, data)
    step()


def write_sound(
    tune: Tune,
    path: Path,
    wish: Wish | None = None,
    *,
    stems_dir: Path | None = None,
    player: Player | None = None,
    step: Step = lambda: None,
) -> None:
    """Plays the tune with its band to an audio file as ``wish`` says, straight to disk. Two steps.

    Raises InputError for an unknown suffix, bars outside the tune, an unwritable place.
    """
    from solowright.neck import apply_path, finger
    from solowright.sound.audio import audio_format
    from solowright.sound.recording import record

    audio_format(path)
    fingered = apply_path(tune, finger(tune, player).paths[0])
    step()
    record(fingered, path, wish, stems_dir)
    step()


def measure_tone(
    tune: Tune, bars: tuple[int, int] | None = None, player: Player | None = None
) -> SpeakReport:
    """How much gain the line needs until its slurs speak (see ``sound.speak``)."""
    from solowright.neck import apply_path, finger
    from solowright.sound.speak import speak_report

    return speak_report(apply_path(tune, finger(tune, player).paths[0]), bars=bars)


def write_tone(report: SpeakReport, path: Path) -> None:
    """Draws a speak report to ``path`` (``.svg`` or ``.png``). Raises InputError for another suffix."""
    from solowright.sound.speak_words import speak_png, speak_svg

    drawings = {".svg": lambda: speak_svg(report).encode(), ".png": lambda: speak_png(report)}
    draw = drawings.get(path.suffix.lower())
    if draw is None:
        raise InputError(f"{path}: curves are drawn as .svg or .png; give the file one of these names")
    write_whole(path, draw())
