"""The command ``desk``: the local web app."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

FOLDER = Path("~/Solowright")  # where tunes live unless another folder is named


def desk(
    file: Annotated[
        Path | None, typer.Argument(metavar="FILE", help="A tune to open.", show_default=False)
    ] = None,
    port: Annotated[
        int | None,
        typer.Option("--port", min=1, max=65535, help="The port to listen on.", show_default=False),
    ] = None,
    browser: Annotated[bool, typer.Option(help="Open a browser window.")] = True,
    folder: Annotated[
        Path | None,
        typer.Option("--folder", help=f"Where your tunes are: {FOLDER} by default.", show_default=False),
    ] = None,
) -> None:
    """Do the whole job in a browser window.

    Serves only this machine. Stop it with Ctrl+C; everything is saved as you go.
    """
    from solowright.desk.serve import serve

    chosen = (folder or FOLDER).expanduser()
    tune = _bring(file, chosen) if file else None

    def tell(address: str) -> None:
        print(f"The desk is open at {address}", file=sys.stderr)
        print("Stop it with Ctrl+C.", file=sys.stderr)

    serve(chosen, port, tune=tune, browser=browser, tell=tell)


def _bring(file: Path, folder: Path) -> str:
    """The name of the tune in ``file``, read into the folder unless it lies there."""
    from solowright.desk.folder import prepare_folder
    from solowright.desk.start import add_upload
    from solowright.desk.tunes import Tunes
    from solowright.files.whole import read_whole

    folder = prepare_folder(folder)
    if file.suffix == ".solo" and file.resolve().parent == folder:
        return file.stem
    tunes = Tunes(folder)
    try:
        return add_upload(tunes, file.name, read_whole(file), None)
    finally:
        tunes.close()
