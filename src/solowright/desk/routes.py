"""What the desk's page can ask for. All of it is JSON unless said otherwise; every refusal is
``{"error": sentence}`` with ``"problems": [sentence, …]`` where a file has several, and a status:
401 no token, 403 another page, 404 nothing there, 408 too slow, 409 changed elsewhere, 413 too big,
422 can't be done.

    GET  /                                   the page
    GET  /static/desk/…, /static/web/…, /fonts/…
    GET  /api/tunes                          [{name, title, composer, bars, tempo, arc: [0..1 a bar],
                                               sections: [{name, first, last}], problem?: sentence}]
    POST /api/tunes                          {title, key?, meter?, tempo?, feel?, chart? | bars?}  → TUNE
    POST /api/upload?name=x.musicxml&chart=  the file's bytes  → TUNE
    POST /api/demo                           → TUNE, a copy of the bundled tune
    GET  /api/tunes/NAME?width=500           TUNE
    POST /api/tunes/NAME/edits               {revision, edit: {kind, …}, width?}  → TUNE
    POST /api/tunes/NAME/undo, …/redo        {revision, width?}  → TUNE
    GET  /api/tunes/NAME/sheet               the sheet, text
    GET  /api/tunes/NAME/bar?bar=N&to=M      {tab: text | null, abc, chords: text}  to retype them
    GET  /api/tunes/NAME/places?note=I       [{string, fret, finger, load, limit_tempo, effort, change, here}]
    GET  /api/tunes/NAME/fingerings?from=A&to=B
                                             [{here, limit_tempo, load, change,
                                               notes: [{note, string, fret, finger, entry, load}]}]
    GET  /api/tunes/NAME/sound/STEM?percent=100&gain=&key=
                                             the stem as FLAC: mono, sample-aligned, ``x-lead`` seconds of
                                             count-in before the tune; with the ``key`` that the tune came
                                             with, the browser keeps it
    GET  /api/tunes/NAME/speak               the speak report (``solowright tone --json``)
    GET  /api/exports                        [{kind, words, suffix}]
    POST /api/tunes/NAME/exports             {kind}  → {job}
    GET  /api/jobs/JOB/events                server-sent events: {share, step}, then {done: true} or {error}
    GET  /api/jobs/JOB/file                  the file
    GET  /api/tunes/NAME/events              news, as server-sent events: {revision} another window's change,
                                             {revision, outside: true} another program's, {sound: {STEM: KEY}}
                                             rendered, {trouble: sentence}, {player: true} it is fingered
                                             for another hand now

TUNE is {name, revision, view, undo: bool, redo: bool, sound: {STEM: KEY}}. In the answer to an edit, undo
or redo, systems that look as before stand as {"unchanged": true, …} without ``svg`` and ``hand.svg``, and the
view's arc is still the one before (null where bars came or went): the new one follows as news, {arc, of:
revision}. The view is that of ``web.view`` with a few things more, see ``worked.show``. A POST may carry
``width``, the width of the systems in points (250 to 700, 500 by default).

The edits, each ``{"kind": …}``; bars are numbers as players count them, notes places in ``view.notes``,
beats quarters from 1.0. WHICH is ``note``, or ``notes`` (a list), or ``from`` and ``to`` (bars), or ``bar``:

    place       note, string, fret, finger?            fixes the note there
    lock, free  WHICH, what?: ["place", "finger", "entry"]
    finger      note, finger: 0..4 | null
    entry       WHICH, entry: "pick" | "hammer" | "pull" | "slide" | "tap" | null
    fingering   notes: as one of /fingerings gives them
    bar_tab, bar_abc   bar, to?, text                  "" is a rest
    chord       bar, text: "B7 Em7" | "%" | "" (held)
    insert_bars before: bar | after: bar, count | text: "| A7 | D7 |"
    remove_bars from, to
    section     bar, name | null (joined to the one before)
    hits        bar, beats: []
    break       from, to | bar, on
    answer      bar, on, beats?
    tempo       tempo
    transpose   semitones
    heading     title?, composer?, key?, feel?: "straight" | "swing" | "swing 3:2" | "swing sixteenths"
    reading     device: id, other: bool                the runner-up instead of what was found
    sentence    sentence: id, text | hidden: true | text: null (as found)
    remark      from, to: {bar, beat}, text | remark: id, text ("" takes it away)
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable
from typing import Any

import orjson
from starlette.background import BackgroundTask
from starlette.concurrency import run_in_threadpool
from starlette.requests import ClientDisconnect, Request
from starlette.responses import PlainTextResponse, Response, StreamingResponse
from starlette.routing import Route

from solowright.desk.channels import Channels
from solowright.desk.desk import Desk
from solowright.desk.folder import MissingError
from solowright.desk.start import add_demo, add_upload, list_cards, make_new
from solowright.desk.state import Json, State, as_typed
from solowright.desk.stems import stem_keys
from solowright.desk.tunes import ConflictError, Opened
from solowright.desk.typed import bar_texts
from solowright.desk.worked import find_arc, show, work_out
from solowright.errors import FileError, InputError
from solowright.page.engrave import WIDTH

NARROWEST, WIDEST = 250.0, 700.0  # points that systems may be wide
MOST_JSON = 1_000_000  # bytes of a posted edit
MOST_UPLOAD = 10_000_000  # bytes of a file
LONGEST_UPLOAD = 60.0  # seconds in which a body must have come in


def tune_routes(desk: Desk) -> list[Route]:
    """The routes under /api that are about tunes and their edits."""
    tunes = desk.tunes

    async def cards(request: Request) -> Response:
        return answer_json(await run_in_threadpool(list_cards, tunes))

    async def new(request: Request) -> Response:
        wishes = await read_json(request)
        return await run_in_threadpool(
            lambda: _answer(desk, tunes.open(make_new(tunes, wishes)), wishes)
        )

    async def upload(request: Request) -> Response:
        name, chart = request.query_params.get("name", ""), request.query_params.get("chart")
        data = await read_body(request, MOST_UPLOAD)
        return await run_in_threadpool(
            lambda: _answer(desk, tunes.open(add_upload(tunes, name, data, chart)), {})
        )

    async def demo(request: Request) -> Response:
        return await run_in_threadpool(lambda: _answer(desk, tunes.open(add_demo(tunes)), {}))

    async def tune(request: Request) -> Response:
        return await run_in_threadpool(
            lambda: _answer(desk, tunes.open(request.path_params["name"]), dict(request.query_params))
        )

    async def edits(request: Request) -> Response:
        wishes = await read_json(request)
        edit = wishes.get("edit")
        if not isinstance(edit, dict):
            raise InputError("'edit' must hold an edit")
        name, revision, width = request.path_params["name"], _revision(wishes), _width(wishes)

        def make() -> Response:
            before = tunes.open(name).state
            return _answer(desk, tunes.edit(name, revision, edit, width), wishes, before)

        return await run_in_threadpool(make)

    def stepping(back: bool) -> Callable[[Request], Any]:
        async def step(request: Request) -> Response:
            wishes = await read_json(request)
            name, revision = request.path_params["name"], _revision(wishes)

            def make() -> Response:
                before = tunes.open(name).state
                return _answer(desk, tunes.step(name, revision, back), wishes, before)

            return await run_in_threadpool(make)

        return step

    async def sheet(request: Request) -> Response:
        def write() -> Response:
            from solowright.files.sheet import write_sheet

            state = tunes.open(request.path_params["name"]).state
            return PlainTextResponse(write_sheet(as_typed(state, work_out(state).tune)))

        return await run_in_threadpool(write)

    async def bar(request: Request) -> Response:
        facts = read_numbers(request, "bar", "to")
        return answer_json(
            await run_in_threadpool(lambda: bar_texts(tunes.open(request.path_params["name"]).state, facts))
        )

    async def events(request: Request) -> Response:
        return event_stream(desk.channels, f"tune {request.path_params['name']}")

    return [
        Route("/api/tunes", cards),
        Route("/api/tunes", new, methods=["POST"]),
        Route("/api/upload", upload, methods=["POST"]),
        Route("/api/demo", demo, methods=["POST"]),
        Route("/api/tunes/{name}", tune),
        Route("/api/tunes/{name}/edits", edits, methods=["POST"]),
        Route("/api/tunes/{name}/undo", stepping(True), methods=["POST"]),
        Route("/api/tunes/{name}/redo", stepping(False), methods=["POST"]),
        Route("/api/tunes/{name}/sheet", sheet),
        Route("/api/tunes/{name}/bar", bar),
        Route("/api/tunes/{name}/events", events),
    ]


def event_stream(channels: Channels, name: str, first: Callable[[], Json] | None = None) -> Response:
    """The events of a channel as an answer that doesn't end; ``first`` gives the one to begin with."""
    return StreamingResponse(channels.listen(name, first), media_type="text/event-stream")


def _answer(desk: Desk, opened: Opened, wishes: Json, before: State | None = None) -> Response:
    """The answer TUNE; with the state ``before`` it is that to an edit. When it is out, what takes longer
    is worked out and told: the arc and the sound."""
    state, width = opened.state, _width(wishes)
    view = show(state, width)
    if before is None:
        view = {**view, "arc": find_arc(state)}
    else:
        systems = _changed_systems(show(before, width)["systems"], view["systems"])
        same_bars = len(before.tune.chart.bars) == len(state.tune.chart.bars)
        view = {**view, "systems": systems, "arc": find_arc(before) if same_bars else None}
    answer = answer_json(
        {
            "name": opened.head.name,
            "revision": opened.head.revision,
            "view": view,
            "undo": opened.head.undo is not None,
            "redo": opened.head.redo is not None,
            "sound": stem_keys(work_out(state).tune),
        }
    )
    answer.background = BackgroundTask(_follow_up, desk, opened)
    return answer


def _follow_up(desk: Desk, opened: Opened) -> None:
    """Tells the arc of a state, has its sound prepared, and tidies up."""
    channel = f"tune {opened.head.name}"
    desk.channels.publish(channel, {"arc": find_arc(opened.state), "of": opened.head.revision})

    def told(stem: str, key: str) -> None:
        desk.channels.publish(channel, {"sound": {stem: key}})

    desk.sounds.prepare(work_out(opened.state).tune, told)
    desk.tidy()


def _changed_systems(before: list[Json], now: list[Json]) -> list[Json]:
    told = []
    for index, system in enumerate(now):
        if index < len(before) and _look(before[index]) == _look(system):
            hand = {key: value for key, value in system["hand"].items() if key != "svg"}
            kept = {key: value for key, value in system.items() if key != "svg"}
            told.append({**kept, "hand": hand, "unchanged": True})
        else:
            told.append(system)
    return told


def _look(system: Json) -> tuple[str, str]:
    return system["svg"], system["hand"]["svg"]


def answer_json(answer: Any, status: int = 200) -> Response:
    """An answer as JSON."""
    return Response(orjson.dumps(answer), status, media_type="application/json")


async def read_body(request: Request, most: int) -> bytes:
    """The body of a request, up to so many bytes. Raises TooBigError beyond, TooSlowError where it doesn't
    come in time."""
    data = bytearray()
    try:
        async with asyncio.timeout(LONGEST_UPLOAD):
            async for chunk in request.stream():
                data += chunk
                if len(data) > most:
                    raise TooBigError(f"this is more than {most // 1000} kB; bring a smaller file")
    except TimeoutError:
        raise TooSlowError("this took too long to come in; try again") from None
    return bytes(data)


class TooBigError(InputError):
    """More bytes than are taken."""


class TooSlowError(InputError):
    """Bytes that don't come."""


async def read_json(request: Request) -> Json:
    """The JSON object that was posted. Raises InputError for anything else."""
    if request.headers.get("content-type", "").split(";")[0].strip().lower() != "application/json":
        raise InputError("post JSON, and say so in Content-Type")
    data = await read_body(request, MOST_JSON)
    try:
        posted = json.loads(data)
    except (ValueError, RecursionError):
        raise InputError("this is not JSON") from None
    if not isinstance(posted, dict):
        raise InputError("post a JSON object")
    return posted


def _revision(wishes: Json) -> int:
    revision = wishes.get("revision")
    if not isinstance(revision, int) or isinstance(revision, bool):
        raise InputError("'revision' must be the number that came with the tune")
    return revision


def _width(wishes: Json) -> float:
    try:
        width = float(wishes.get("width", WIDTH))
    except (TypeError, ValueError):
        raise InputError("'width' must be a number of points") from None
    if not NARROWEST <= width <= WIDEST:
        raise InputError(f"systems are {NARROWEST:g} to {WIDEST:g} points wide")
    return width


def read_numbers(request: Request, *names: str) -> Json:
    """Whole numbers among the query's parameters."""
    found: Json = {}
    for name in names:
        text = request.query_params.get(name)
        if text is not None:
            if not text.isdecimal() or len(text) > 6:
                raise InputError(f"'{name}' must be a whole number")
            found[name] = int(text)
    return found


_STATUS = ((ConflictError, 409), (MissingError, 404), (TooBigError, 413), (TooSlowError, 408))


async def tell_refusal(request: Request, error: Exception) -> Response:
    """An InputError as its sentence and status."""
    status = next((status for kind, status in _STATUS if isinstance(error, kind)), 422)
    answer: Json = {"error": str(error)}
    if isinstance(error, FileError):
        answer["problems"] = [str(problem) for problem in error.problems]
    return answer_json(answer, status)


async def tell_fault(request: Request, error: Exception) -> Response:
    """A fault of ours: no more than its kind goes to the page; the log has the rest."""
    if isinstance(error, ClientDisconnect):
        return Response(status_code=400)
    told = f"A fault of ours ({type(error).__name__}); nothing was changed. Please report it."
    return answer_json({"error": told}, 500)
