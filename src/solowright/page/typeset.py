"""A printed document from a typst template, its data and its pictures, all held in memory."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Literal

import typst

from solowright.page.lettering import TEXT_FONT_FOLDERS


def typeset(template: Path, data: object, pictures: Mapping[str, str]) -> bytes:
    """The PDF that a template makes of ``data`` (read there as ``data.json``) and SVGs by file name."""
    (document,) = _compile(template, data, pictures, "pdf")
    return document


def typeset_pictures(
    template: Path, data: object, pictures: Mapping[str, str], ppi: float = 144.0
) -> tuple[bytes, ...]:
    """The same as one PNG a page, at ``ppi`` pixels an inch."""
    return _compile(template, data, pictures, "png", ppi)


def _compile(
    template: Path,
    data: object,
    pictures: Mapping[str, str],
    to: Literal["pdf", "png"],
    ppi: float = 144.0,
) -> tuple[bytes, ...]:
    files = {name: svg.encode() for name, svg in pictures.items()}
    files["data.json"] = json.dumps(data).encode()
    files["main.typ"] = template.read_bytes()
    made = typst.compile(
        files,  # type: ignore[call-overload]
        format=to,
        ppi=ppi,
        font_paths=[str(folder) for folder in TEXT_FONT_FOLDERS],
        ignore_system_fonts=True,
    )
    return (made,) if isinstance(made, bytes) else tuple(bytes(page) for page in made)
