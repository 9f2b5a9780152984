"""Files that survive a killed server or a pulled plug: written beside, flushed to disk, then renamed."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from solowright.errors import InputError

DRAFT = ".draft-"  # how the names of unfinished files begin


def write_durably(path: Path, data: bytes) -> None:
    """Puts ``data`` in place of the file, whole or not at all. Raises InputError where it can't."""
    target = Path(os.path.realpath(path))  # a link stays a link
    draft = target.with_name(f"{DRAFT}{secrets.token_hex(8)}")
    try:
        with os.fdopen(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666), "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        draft.replace(target)
        _flush_folder(target.parent)
    except OSError as error:
        raise InputError(
            f"{path.name} can't be written ({error.strerror}); see whether the folder is full or locked"
        ) from None
    finally:
        draft.unlink(missing_ok=True)


def _flush_folder(folder: Path) -> None:
    """Makes the rename itself last. Some systems can't open a folder; there the rename must do."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
