"""What a tune can be handed on as. A new kind is a row in ``EXPORTS`` and a function.

The functions run in the back room; each is given the tune worked out, whose hand it is, where to write,
and a call for every step done.
"""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from solowright.desk.backroom import tell_progress
from solowright.errors import InputError
from solowright.files.load import save
from solowright.neck.player import Player
from solowright.work import Step, Worked

Make = Callable[[Worked, Player, Path, Step], None]


@dataclass(frozen=True, slots=True)
class Export:
    """One way to hand a tune on: what it is called, the file's suffix, the steps it takes (asked for in
    the back room, where the heavy modules may be loaded)."""

    kind: str
    words: str
    suffix: str
    steps: Callable[[], tuple[str, ...]]
    make: Make


def _booklet(worked: Worked, player: Player, path: Path, step: Step) -> None:
    from solowright.page.booklet import booklet

    path.write_bytes(booklet(worked.tune, worked.reading, worked.fingering, player.left_handed))
    step()


def _page(worked: Worked, player: Player, path: Path, step: Step) -> None:
    from solowright.page.booklet import page_png

    path.write_bytes(page_png(worked.tune, worked.reading))
    step()


def _audio(stems: tuple[str, ...]) -> Make:
    def make(worked: Worked, player: Player, path: Path, step: Step) -> None:
        from solowright.sound.mix import Wish
        from solowright.sound.recording import record

        record(worked.tune, path, Wish(stems=stems))
        step()

    return make


def _stems(worked: Worked, player: Player, path: Path, step: Step) -> None:
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


def _parts(worked: Worked, player: Player, path: Path, step: Step) -> None:
    """The band's parts, a page each and as MusicXML, in one archive."""
    from solowright.form import work_out_arc
    from solowright.page.part_score import PARTS, write_part
    from solowright.page.part_xml import part_musicxml
    from solowright.page.parts import part_pdf

    assert worked.reading is not None
    arc = work_out_arc(worked.tune, worked.fingering, worked.reading, player=player)
    step()
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for part in PARTS:
            archive.writestr(f"{path.stem}/{part.name}.pdf", part_pdf(worked.tune, arc, part))
            score = part_musicxml(write_part(worked.tune, part))
            archive.writestr(f"{path.stem}/{part.name}.musicxml", score)
    step()


def _lesson(worked: Worked, player: Player, path: Path, step: Step) -> None:
    """The whole pack for students, camera and band, in one archive."""
    from solowright.lesson.pack import write_lesson

    folder = path.with_suffix("")
    write_lesson(worked.tune, folder, player=player, step=step)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for file in sorted(folder.rglob("*")):
            if file.is_file():
                archive.write(file, f"{path.stem}/{file.relative_to(folder)}")
    step()


def _lesson_steps() -> tuple[str, ...]:
    from solowright.lesson.pack import STEPS

    return (*STEPS, "packing")


def _in(*steps: str) -> Callable[[], tuple[str, ...]]:
    return lambda: steps


def _file(worked: Worked, player: Player, path: Path, step: Step) -> None:
    save(worked.tune, path)
    step()


_BAND = ("bass", "drums", "comping", "brass", "click")
EXPORTS = (
    Export("booklet", "the booklet to print", ".pdf", _in("engraving"), _booklet),
    Export("page", "one long page as a picture", ".png", _in("engraving"), _page),
    Export("audio", "the solo with its band", ".wav", _in("playing"), _audio(("guitar", *_BAND))),
    Export("band", "the band alone, to play along", ".flac", _in("playing"), _audio(_BAND)),
    Export("guitar", "the guitar alone", ".flac", _in("playing"), _audio(("guitar", "click"))),
    Export("lesson", "all that students, camera and band get", ".zip", _lesson_steps, _lesson),
    Export("parts", "the chart as a page for each of the band", ".zip", _in("arc", "engraving"), _parts),
    Export("stems", "every part apart", ".zip", _in("playing", "packing"), _stems),
    Export("musicxml", "for notation programs", ".musicxml", _in("writing"), _file),
    Export("midi", "for sequencers", ".mid", _in("writing"), _file),
    Export("sheet", "the tune as text", ".solo", _in("writing"), _file),
    Export("abc", "the line as ABC", ".abc", _in("writing"), _file),
)


def choose_export(kind: object) -> Export:
    """The export of a kind. Raises InputError, naming all, for another."""
    for export in EXPORTS:
        if export.kind == kind:
            return export
    kinds = ", ".join(export.kind for export in EXPORTS)
    raise InputError(f"a tune can't be handed on as '{str(kind)[:40]}'; choose among {kinds}")


def make_export(kind: str, worked: Worked, player: Player, path: Path, job: str) -> None:
    """Makes an export for a player in the back room, telling its progress under the name ``job``."""
    export = choose_export(kind)
    steps, done = export.steps(), 0
    tell_progress(job, 0.0, steps[0])

    def step() -> None:
        nonlocal done
        done = min(done + 1, len(steps) - 1)
        tell_progress(job, done / len(steps), steps[done])

    export.make(worked, player, path, step)
