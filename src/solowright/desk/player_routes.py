"""The route of the player's own file (see ``routes`` for the manner of answers).

    GET  /api/player          PROFILE
    POST /api/player          {said: {KEY: value | null}, tune?: name}  → PROFILE
                              refused where that tune can't be played so

PROFILE is {file, said: {KEY: value}, usual: {KEY: number}, bounds: {KEY: [low, high]}, problem: sentence |
null}; the keys are those of the file (see ``neck.profile``) that ``profile.PANEL`` names. Every window
hears of a change as news of its tune: {player: true}.
"""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from solowright.desk.profile import profile_json
from solowright.desk.routes import answer_json, read_json
from solowright.desk.tunes import Tunes
from solowright.errors import InputError


def player_routes(tunes: Tunes) -> list[Route]:
    """The route under /api that is about whose hand it is."""

    async def player(request: Request) -> Response:
        return answer_json(profile_json(await run_in_threadpool(tunes.see_profile)))

    async def change(request: Request) -> Response:
        wishes = await read_json(request)
        said, tune = wishes.get("said"), wishes.get("tune")
        if not isinstance(said, dict):
            raise InputError("'said' must hold what is to stand in the player's file")
        if tune is not None and not isinstance(tune, str):
            raise InputError("'tune' must be the name of a tune")
        return answer_json(profile_json(await run_in_threadpool(tunes.change_player, said, tune)))

    return [Route("/api/player", player), Route("/api/player", change, methods=["POST"])]
