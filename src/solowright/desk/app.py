"""The application: the page's files, the routes of ``routes``, behind the guard."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp

from solowright.desk.desk import Desk
from solowright.desk.guard import Guard
from solowright.desk.player_routes import player_routes
from solowright.desk.practice_routes import practice_routes
from solowright.desk.routes import tell_fault, tell_refusal, tune_routes
from solowright.desk.work_routes import work_routes
from solowright.errors import InputError

_PACKAGE = Path(str(files("solowright")))
DESK, WEB = _PACKAGE / "desk" / "static", _PACKAGE / "web" / "static"


def make_app(desk: Desk, token: str, port: int) -> ASGIApp:
    """The application of a desk, for the window that knows ``token``."""

    async def page(request: Request) -> Response:
        return FileResponse(DESK / "index.html")

    app = Starlette(
        routes=[
            Route("/", page),
            *tune_routes(desk),
            *work_routes(desk),
            *practice_routes(desk.tunes),
            *player_routes(desk.tunes),
            Mount("/static/desk", StaticFiles(directory=DESK)),
            Mount("/static/web", StaticFiles(directory=WEB)),
            Route("/fonts/{name}", font),
        ],
        exception_handlers={InputError: tell_refusal, Exception: tell_fault},
    )
    return Guard(app, token, port)


async def font(request: Request) -> Response:
    """One of the faces that the page is set in: a file of the two font packages, by its name."""
    from solowright.page.lettering import TEXT_FONT_FOLDERS

    name = request.path_params["name"]
    for folder in TEXT_FONT_FOLDERS:
        if name in {path.name for path in folder.iterdir() if path.suffix in (".otf", ".ttf")}:
            return FileResponse(folder / name, headers={"cache-control": "private, max-age=86400"})
    return Response(status_code=404)
