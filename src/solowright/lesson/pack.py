"""The whole lesson as a folder: worked out once, then written whole or not at all."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from solowright.errors import InputError
from solowright.files.load import save
from solowright.form import work_out_arc
from solowright.lesson.booklet import teaching_booklet
from solowright.lesson.captions import write_vtt
from solowright.lesson.filming import filming_sheet
from solowright.lesson.plainer import SHARE, Plainer, make_plainer
from solowright.lesson.sounds import (
    FINE,
    FULL,
    SHARES,
    SLOW,
    SMALL,
    Played,
    code,
    mixes_of,
    percent,
    play_at,
    switched,
)
from solowright.lesson.video import Pass, film_cues, write_video
from solowright.lesson.web_page import web_page
from solowright.music.tune import Tune
from solowright.neck import Player
from solowright.page.booklet import booklet
from solowright.page.part_score import PARTS
from solowright.page.parts import part_pdf
from solowright.sound.string import Samples
from solowright.work import Step, Worked, work_out

FILMED = ((FULL, "At tempo"), (SLOW, "Slowly"))
_DRAWN = 6  # steps that the film takes, so that progress tells the truth
STEPS = (
    "fingering", "reading", "plainer line", *("playing",) * len(SHARES), "sheets", *("film",) * _DRAWN,
    "students' page", "writing",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Lesson:
    """Everything that the pack is written from: both lines, each played at every tempo."""

    worked: Worked
    plainer: Plainer
    played: tuple[Played, ...]
    plainly: tuple[Played, ...]
    player: Player

    @property
    def passes(self) -> tuple[Pass, ...]:
        """What the film plays, in order."""
        by_share = {each.share: each for each in self.played}
        filmed = [(name, by_share[share]) for share, name in FILMED]
        return tuple(Pass(name, each.tempo, each.counted_in) for name, each in filmed)


def write_lesson(
    tune: Tune,
    folder: Path,
    *,
    player: Player | None = None,
    share: float = SHARE,
    step: Step = lambda: None,
) -> Path:
    """Fills ``folder`` with all that students, camera and band are handed; gives its path. See ``STEPS``.

    ``share`` is how quick the hand is that the plainer line is for, beside the player's. Everything is
    made beside the folder first and put there at the end, so a run that is stopped leaves nothing
    behind; other files in the folder stay. Raises InputError for a line that can't be played or
    written, and where the folder can't be.
    """
    folder = folder.resolve()
    if folder.exists() and not folder.is_dir():
        raise InputError(f"{folder}: this is a file; name a folder")
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".lesson-", dir=folder.parent) as space:
            draft = Path(space) / "new"
            draft.mkdir()
            _fill(draft, tune, player or Player(), share, step)
            _put_in_place(draft, folder, Path(space) / "old")
    except OSError as error:
        raise InputError(f"{folder}: can't be written ({error.strerror}); choose another folder") from None
    step()
    return folder


def _put_in_place(draft: Path, folder: Path, aside: Path) -> None:
    """The draft takes the folder's name, with what else lay in the folder; on an error all is as before."""
    if not folder.exists():
        draft.replace(folder)
        return
    for path in folder.rglob("*"):
        twin = draft / path.relative_to(folder)
        if path.is_dir() and not path.is_symlink():
            twin.mkdir(exist_ok=True)
        elif not twin.exists():
            shutil.copy2(path, twin, follow_symlinks=False)
    folder.replace(aside)
    try:
        draft.replace(folder)
    except OSError:
        aside.replace(folder)
        raise


def _fill(folder: Path, tune: Tune, player: Player, share: float, step: Step) -> None:
    worked = work_out(tune, player=player, step=step)
    assert worked.reading is not None, "a lesson is worked out with its reasons"
    plainer = make_plainer(tune, worked.reading, share, player)
    step()
    played, plainly = [], []
    for part in SHARES:
        played.append(play_at(worked.tune, part))
        plainly.append(play_at(plainer.worked.tune, part))
        step()
    lesson = Lesson(worked, plainer, tuple(played), tuple(plainly), player)
    with ThreadPoolExecutor(max_workers=2) as pool:  # coding sound leaves Python free for the film
        files = {name: pool.submit(code, sound, FINE) for name, sound in _files(lesson)}
        stems = {name: pool.submit(code, sound, SMALL) for name, sound in _stems(lesson)}
        _write_tunes(folder, lesson)
        _write_prints(folder, lesson)
        step()
        _write_film(folder, lesson, step)
        (folder / "audio").mkdir()
        for name, coded in files.items():
            (folder / "audio" / f"{name}.mp3").write_bytes(coded.result())
        sounds = {name: coded.result() for name, coded in stems.items()}
    page = web_page(worked, plainer, sounds, [percent(part) for part in SHARES])
    (folder / "lesson.html").write_text(page, "utf-8")
    step()


def _files(lesson: Lesson) -> Iterator[tuple[str, Samples]]:
    """The audio files by name: what is filmed, in three mixes, and the plainer line with the band."""
    filmed = {share for share, _ in FILMED}
    for played, plainly in zip(lesson.played, lesson.plainly, strict=True):
        if played.share in filmed:
            head = "" if played.share == FULL else f"{percent(played.share)}-percent-"
            for name, sound in mixes_of(played):
                yield f"{head}{name}", sound
            yield f"{head}plainer-line", mixes_of(plainly)[0][1]


def _stems(lesson: Lesson) -> Iterator[tuple[str, Samples]]:
    """The stems of the students' page, and the plainer line's guitar, by their names there."""
    for played, plainly in zip(lesson.played, lesson.plainly, strict=True):
        for name, sound in switched(played).items():
            yield f"{percent(played.share)}-{name}", sound
        guitar = switched(plainly).get("guitar")
        if guitar is not None:
            yield f"{percent(played.share)}-plainer", guitar


def _write_tunes(folder: Path, lesson: Lesson) -> None:
    for suffix in (".solo", ".musicxml", ".mid"):
        save(lesson.worked.tune, folder / f"line{suffix}")
        save(lesson.plainer.worked.tune, folder / f"plainer-line{suffix}")


def _write_prints(folder: Path, lesson: Lesson) -> None:
    """Booklet, filming sheet, the plainer line, and a part for each reader in the band."""
    worked, plain = lesson.worked, lesson.plainer.worked
    assert worked.reading is not None, "a lesson is worked out with its reasons"
    (folder / "booklet.pdf").write_bytes(teaching_booklet(worked, lesson.plainer, lesson.player))
    (folder / "plainer-line.pdf").write_bytes(booklet(plain.tune, plain.reading, plain.fingering))
    sheet = filming_sheet(worked, lesson.passes, lesson.player)
    (folder / "filming-sheet.pdf").write_bytes(sheet)
    arc = work_out_arc(worked.tune, worked.fingering, worked.reading)
    (folder / "parts").mkdir()
    for part in PARTS:
        (folder / "parts" / f"{part.name}.pdf").write_bytes(part_pdf(worked.tune, arc, part))


def _write_film(folder: Path, lesson: Lesson, step: Step) -> None:
    cues = film_cues(lesson.worked, lesson.passes)
    (folder / "film.vtt").write_text(write_vtt(cues), "utf-8")
    told = 0

    def drawn(share: float) -> None:
        nonlocal told
        while told < _DRAWN - 1 and share * _DRAWN >= told + 1:
            told += 1
            step()

    film = folder / "film.mp4"
    write_video(lesson.worked, lesson.passes, film, player=lesson.player, cues=cues, drawn=drawn)
    for _ in range(_DRAWN - told):
        step()
