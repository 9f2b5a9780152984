"""The routes of work on a tune: choices on the neck, sound, what is handed on (see ``routes``)."""

from __future__ import annotations

import asyncio
from concurrent.futures import Future
from math import inf, isfinite
from typing import TypeVar

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from solowright.desk.backroom import BROKEN_OFF
from solowright.desk.desk import Desk
from solowright.desk.exports import EXPORTS
from solowright.desk.folder import MissingError
from solowright.desk.places import bar_fingerings, note_places
from solowright.desk.routes import answer_json, event_stream, read_json, read_numbers
from solowright.desk.state import Json, State
from solowright.desk.stems import STEMS, Stem
from solowright.desk.worked import work_out
from solowright.errors import InputError
from solowright.music.tune import Tune

_Result = TypeVar("_Result")
_KEPT = {"cache-control": "private, max-age=31536000, immutable"}


def work_routes(desk: Desk) -> list[Route]:
    """The routes under /api that are about work on a tune."""

    async def places(request: Request) -> Response:
        facts = read_numbers(request, "note")
        return answer_json(await run_in_threadpool(lambda: note_places(_state(desk, request), facts)))

    async def fingerings(request: Request) -> Response:
        facts = read_numbers(request, "from", "to")
        return answer_json(await run_in_threadpool(lambda: bar_fingerings(_state(desk, request), facts)))

    async def sound(request: Request) -> Response:
        name = request.path_params["stem"]
        if name not in STEMS:
            raise MissingError(f"there is no stem '{name[:40]}'; choose among {', '.join(STEMS)}")
        percent, gain = _number(request, "percent", "percent"), _number(request, "gain", "dB")
        tune = await run_in_threadpool(lambda: _fingered(desk, request))
        stem = Stem(tune, name, 100.0 if percent is None else percent, gain)
        lead = await run_in_threadpool(stem.lead)
        path = await _done(await run_in_threadpool(desk.sounds.file, stem))
        kept = _KEPT if request.query_params.get("key") else {}
        return FileResponse(path, media_type="audio/flac", headers={"x-lead": f"{lead:.9f}", **kept})

    async def speak(request: Request) -> Response:
        tune = await run_in_threadpool(lambda: _fingered(desk, request))
        key = Stem(tune, "guitar").key()
        return answer_json(await _done(desk.press.do(f"speak {key}", measure_speak, tune)))

    async def exports(request: Request) -> Response:
        return answer_json([{"kind": e.kind, "words": e.words, "suffix": e.suffix} for e in EXPORTS])

    async def export(request: Request) -> Response:
        wishes = await read_json(request)

        def start() -> Json:
            state = _state(desk, request)
            name, worked = request.path_params["name"], work_out(state)
            return {"job": desk.jobs.start(name, wishes.get("kind"), worked, state.player)}

        return answer_json(await run_in_threadpool(start))

    async def job_events(request: Request) -> Response:
        job = request.path_params["job"]
        desk.jobs.news(job)  # one that isn't there is refused before the answer begins
        return event_stream(desk.channels, f"job {job}", lambda: desk.jobs.news(job))

    async def job_file(request: Request) -> Response:
        path = desk.jobs.file(request.path_params["job"])
        return FileResponse(path, filename=path.name)

    return [
        Route("/api/exports", exports),
        Route("/api/tunes/{name}/places", places),
        Route("/api/tunes/{name}/fingerings", fingerings),
        Route("/api/tunes/{name}/sound/{stem}", sound),
        Route("/api/tunes/{name}/speak", speak),
        Route("/api/tunes/{name}/exports", export, methods=["POST"]),
        Route("/api/jobs/{job}/events", job_events),
        Route("/api/jobs/{job}/file", job_file),
    ]


async def _done(work: Future[_Result]) -> _Result:
    """What work in a back room gives."""
    try:
        return await asyncio.wrap_future(work)
    except asyncio.CancelledError:  # the desk is closing
        raise InputError(BROKEN_OFF) from None


def _state(desk: Desk, request: Request) -> State:
    return desk.tunes.open(request.path_params["name"]).state


def _fingered(desk: Desk, request: Request) -> Tune:
    return work_out(_state(desk, request)).tune


def _number(request: Request, name: str, unit: str) -> float | None:
    """A number among the query's parameters, if it is there. Raises InputError for anything else."""
    text = request.query_params.get(name)
    if not text:
        return None
    try:
        number = float(text)
    except ValueError:
        number = inf
    if not isfinite(number):
        raise InputError(f"'{name}' must be a number of {unit}")
    return number


def measure_speak(tune: Tune) -> Json:
    """The speak report of a fingered tune. Runs in the back room."""
    from solowright.sound.speak import speak_report
    from solowright.sound.speak_words import speak_json

    return speak_json(speak_report(tune))
