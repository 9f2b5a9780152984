"""Files read and written whole: a reader's one clear line where that fails, and never half a file."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from solowright.errors import InputError


def read_whole(path: Path) -> bytes:
    """The file's bytes. Raises InputError where it can't be read."""
    try:
        return path.read_bytes()
    except FileNotFoundError:
        raise InputError(f"{path}: there is no such file; check the name and the folder") from None
    except IsADirectoryError:
        raise InputError(f"{path}: this is a folder; name a file in it") from None
    except PermissionError:
        raise InputError(f"{path}: this file may not be read; change its permissions") from None
    except (OSError, ValueError) as error:
        raise InputError(f"{path}: can't be read ({_reason(error)}); name another file") from None


def write_whole(path: Path, data: bytes) -> None:
    """Writes the file whole or not at all: beside it first, then in its place.

    Raises InputError where it can't be written.
    """
    try:
        target = Path(os.path.realpath(path))  # a link stays a link
        if target.is_dir():
            raise InputError(f"{path}: this is a folder; name a file to write")
        draft = target.with_name(f".{target.name[:100]}.{secrets.token_hex(4)}")
        try:
            with os.fdopen(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666), "wb") as file:
                file.write(data)
            draft.replace(target)
        finally:
            draft.unlink(missing_ok=True)
    except (FileNotFoundError, NotADirectoryError):
        raise InputError(f"{path}: its folder doesn't exist; make it first") from None
    except PermissionError:
        raise InputError(f"{path}: nothing may be written there; choose another folder") from None
    except OSError as error:
        raise InputError(f"{path}: can't be written ({_reason(error)})") from None


def _reason(error: Exception) -> str:
    return str(getattr(error, "strerror", None) or error)
