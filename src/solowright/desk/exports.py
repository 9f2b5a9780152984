"""What a tune can be handed on as. A new kind is a row in ``EXPORTS`` and a function.

The functions run in the back room; each is given the tune worked out, where to write, and a call for
every step done.
"""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from solowright.desk.backroom import tell_progress
from solowright.errors import InputError
from solowright.files.load import save
from solowright.work import Step, Worked

Make = Callable[[Worked, Path, Step], None]


@dataclass(frozen=True, slots=True)
class Export:
    """One way to hand a tune on: what it is called, the file's suffix, how many steps it takes."""

    kind: str
    words: str
    suffix: str
    steps: tuple[str, ...]
    make: Make


def _booklet(worked: Worked, path: Path, step: Step) -> None:
    from solowright.page.booklet import booklet

    path.write_bytes(booklet(worked.tune, worked.reading, worked.fingering))
    step()


def _page(worked: Worked, path: Path, step: Step) -> None:
    from solowright.page.booklet import page_png

    path.write_bytes(page_png(worked.tune, worked.reading))
    step()


def _audio(stems: tuple[str, ...]) -> Make:
    def make(worked: Worked, path: Path, step: Step) -> None:
        from solowright.sound.mix import Wish
        from solowright.sound.recording import record

        record(worked.tune, path, Wish(stems=stems))
        step()

    return make


def _stems(worked: Worked, path: Path, step: Step) -> None:
    """The mix and every stem, in one archive."""
    from solowright.sound.recording import record

    folder = path.with_suffix("")
    folder.mkdir()
    record(worked.tune, folder / "mix.flac", stems_dir=folder)
    step()
    with zipfile.ZipFile(path, "w", zipfile.ZIP_STORED) as archive:
        for file in sorted(folder.iterdir()):
            archive.write(file, f"{path.stem}/{file.name}")
    step()


def _file(worked: Worked, path: Path, step: Step) -> None:
    save(worked.tune, path)
    step()


_BAND = ("bass", "drums", "comping", "brass", "click")
EXPORTS = (
    Export("booklet", "the booklet to print", ".pdf", ("engraving",), _booklet),
    Export("page", "one long page as a picture", ".png", ("engraving",), _page),
    Export("audio", "the solo with its band", ".wav", ("playing",), _audio(("guitar", *_BAND))),
    Export("band", "the band alone, to play along", ".flac", ("playing",), _audio(_BAND)),
    Export("guitar", "the guitar alone", ".flac", ("playing",), _audio(("guitar", "click"))),
    Export("stems", "every part apart", ".zip", ("playing", "packing"), _stems),
    Export("musicxml", "for notation programs", ".musicxml", ("writing",), _file),
    Export("midi", "for sequencers", ".mid", ("writing",), _file),
    Export("sheet", "the tune as text", ".solo", ("writing",), _file),
    Export("abc", "the line as ABC", ".abc", ("writing",), _file),
)


def choose_export(kind: object) -> Export:
    """The export of a kind. Raises InputError, naming all, for another."""
    for export in EXPORTS:
        if export.kind == kind:
            return export
    kinds = ", ".join(export.kind for export in EXPORTS)
    raise InputError(f"a tune can't be handed on as '{str(kind)[:40]}'; choose among {kinds}")


def make_export(kind: str, worked: Worked, path: Path, job: str) -> None:
    """Makes an export in the back room, telling its progress under the name ``job``."""
    export = choose_export(kind)
    done = 0
    tell_progress(job, 0.0, export.steps[0])

    def step() -> None:
        nonlocal done
        done += 1
        tell_progress(job, done / len(export.steps), export.steps[min(done, len(export.steps) - 1)])

    export.make(worked, path, step)
