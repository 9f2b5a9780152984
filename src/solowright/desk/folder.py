"""The player's folder: which files are tunes, and that nothing outside it is ever touched."""

from __future__ import annotations

import hashlib
import re
import unicodedata
from contextlib import suppress
from pathlib import Path
from time import time

from solowright.desk.durable import DRAFT
from solowright.errors import InputError
from solowright.files.whole import read_whole

SUFFIX = ".solo"
OURS = ".solowright"  # the subfolder with histories and sounds
MOST_TUNES = 2000
_LONGEST_NAME = 80
_DRAFT_AGE = 60.0  # seconds


class MissingError(InputError):
    """There is no tune of that name."""


def prepare_folder(folder: Path) -> Path:
    """The folder with our subfolder in it, made where missing. Raises InputError where it can't be."""
    try:
        folder = folder.expanduser().resolve()
        (folder / OURS).mkdir(parents=True, exist_ok=True)
        _clear_drafts(folder)
    except OSError as error:
        raise InputError(f"{folder}: this folder can't be used ({error.strerror}); choose another") from None
    return folder


def _clear_drafts(folder: Path) -> None:
    """Takes away what a server that was killed had begun to write."""
    for draft in (*folder.glob(f"{DRAFT}*"), *(folder / OURS).glob(f"{DRAFT}*")):
        with suppress(OSError):
            if time() - draft.stat().st_mtime > _DRAFT_AGE:  # another desk may be writing just now
                draft.unlink()


def tune_path(folder: Path, name: str) -> Path:
    """The file of a tune. Raises MissingError for a name that could lead elsewhere, or where no file is."""
    path = folder / f"{name}{SUFFIX}"
    plain = bool(name) and name == Path(name).name and not name.startswith(".") and "\0" not in name
    if not plain or "\\" in name or not path.is_file() or path.resolve().parent != folder:
        raise MissingError(f"there is no tune '{name[:60]}' in this folder; go back and choose one")
    return path


def list_names(folder: Path) -> list[str]:
    """The names of the tunes, in alphabetical order."""
    found = [path.stem for path in folder.glob(f"*{SUFFIX}") if not path.name.startswith(".")]
    return sorted((name for name in found if _is_there(folder, name)), key=str.casefold)[:MOST_TUNES]


def _is_there(folder: Path, name: str) -> bool:
    try:
        tune_path(folder, name)
    except MissingError:
        return False
    return True


def free_name(folder: Path, title: str) -> str:
    """A file name for a title that no tune has yet: ``Blue Street, No. 2`` as ``blue-street-no-2``."""
    text = unicodedata.normalize("NFC", title).casefold()
    plain = re.sub(r"[^\w]+", "-", text).strip("-_")[:_LONGEST_NAME].rstrip("-") or "tune"
    name, turn = plain, 1
    while (folder / f"{name}{SUFFIX}").exists():
        turn += 1
        name = f"{plain}-{turn}"
    return name


def read_tune_file(folder: Path, name: str) -> bytes:
    """The bytes of a tune's file."""
    return read_whole(tune_path(folder, name))


def digest(data: bytes) -> str:
    """What tells one content from another."""
    return hashlib.sha256(data).hexdigest()
