"""A printed document from a typst template, its data and its pictures, all held in memory."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

import typst

from solowright.page.lettering import TEXT_FONT_FOLDERS


def typeset(template: Path, data: object, pictures: Mapping[str, str]) -> bytes:
    """The PDF that a template makes of ``data`` (read there as ``data.json``) and SVGs by file name."""
    files = {name: svg.encode() for name, svg in pictures.items()}
    files["data.json"] = json.dumps(data).encode()
    files["main.typ"] = template.read_bytes()
    made = typst.compile(
        files,  # type: ignore[call-overload]
        format="pdf",
        font_paths=[str(folder) for folder in TEXT_FONT_FOLDERS],
        ignore_system_fonts=True,
    )
    return bytes(made if isinstance(made, bytes) else made[0])
