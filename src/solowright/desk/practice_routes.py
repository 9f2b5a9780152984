"""What the practice place can ask for (see ``routes`` for the manner of answers).

    GET  /api/tunes/NAME/practice?gig=&minutes=&level=   PRACTICE
    POST /api/tunes/NAME/practice/tries    {loop: name, clean: bool}  → PRACTICE
    POST /api/tunes/NAME/practice/back     {}  takes the latest try back  → PRACTICE
    GET  /api/tunes/NAME/practice/sheet    the practice sheet, PDF

PRACTICE is {show_tempo, day, loops: [{name, bars, start, end (seconds at show tempo), crux, limit_tempo,
ease, ladder, rung, clean, missed, retest, kept, reached, next: {kind, tempo, why}, tries}], plan, verdict,
rules, cautions, progress: SVG}. Posts may carry gig, minutes and level too.
"""

from __future__ import annotations

from collections.abc import Callable

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from solowright.desk.practising import log_try, practice_json, sheet_pdf, take_back
from solowright.desk.routes import answer_json, read_json
from solowright.desk.state import Json
from solowright.desk.tunes import Tunes


def practice_routes(tunes: Tunes) -> list[Route]:
    """The routes under /api/tunes/NAME/practice."""

    async def practice(request: Request) -> Response:
        name, wishes = request.path_params["name"], dict(request.query_params)
        return answer_json(await run_in_threadpool(practice_json, tunes, name, wishes))

    def posting(change: Callable[[str, Json], None]) -> Callable[[Request], object]:
        async def post(request: Request) -> Response:
            name, posted = request.path_params["name"], await read_json(request)

            def make() -> Json:
                practice_json(tunes, name, posted)  # what can't be answered changes nothing
                change(name, posted)
                return practice_json(tunes, name, posted)

            return answer_json(await run_in_threadpool(make))

        return post

    async def sheet(request: Request) -> Response:
        data = await run_in_threadpool(sheet_pdf, tunes, request.path_params["name"])
        return Response(data, media_type="application/pdf")

    place = "/api/tunes/{name}/practice"
    return [
        Route(place, practice),
        Route(f"{place}/tries", posting(lambda name, posted: log_try(tunes, name, posted)), methods=["POST"]),
        Route(f"{place}/back", posting(lambda name, posted: take_back(tunes, name)), methods=["POST"]),
        Route(f"{place}/sheet", sheet),
    ]
