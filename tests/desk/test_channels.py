"""News: nothing is missed from the moment one listens, and windows that lag or leave do no harm."""

from __future__ import annotations

import asyncio
import threading

from solowright.desk import channels as module
from solowright.desk.channels import Channels
from tests.loops import run_apart


def test_news_from_any_thread_reach_all_who_listen() -> None:
    async def heard() -> list[str]:
        channels = Channels()
        windows = [channels.listen("tune x"), channels.listen("tune x"), channels.listen("tune y")]
        assert [await anext(window) for window in windows] == [": here\n\n"] * 3
        thread = threading.Thread(target=channels.publish, args=("tune x", {"revision": 2}))
        thread.start()
        told = [await asyncio.wait_for(anext(window), 5) for window in windows[:2]]
        thread.join()
        return told

    assert run_apart(heard()) == ['data: {"revision": 2}\n\n'] * 2


def test_what_happens_while_the_first_is_told_is_not_missed() -> None:
    async def heard() -> list[str]:
        channels = Channels()

        def first() -> dict[str, object]:
            channels.publish("job", {"done": True})  # just then
            return {"share": 0.5}

        window = channels.listen("job", first)
        return [await asyncio.wait_for(anext(window), 5) for _ in range(2)]

    assert run_apart(heard()) == ['data: {"share": 0.5}\n\n', 'data: {"done": true}\n\n']


def test_a_window_that_lags_loses_the_oldest_and_one_that_leaves_is_forgotten() -> None:
    async def heard() -> list[str]:
        channels = Channels()
        window = channels.listen("x")
        await anext(window)
        for number in range(module.MOST_WAITING + 5):
            channels.publish("x", {"n": number})
        await asyncio.sleep(0.05)
        told = [await asyncio.wait_for(anext(window), 5) for _ in range(module.MOST_WAITING)]
        await window.aclose()
        channels.publish("x", {"n": "late"})
        await asyncio.sleep(0.01)
        assert not channels._listening
        return told

    told = run_apart(heard())
    assert told[0] == 'data: {"n": 5}\n\n' and told[-1] == f'data: {{"n": {module.MOST_WAITING + 4}}}\n\n'


def test_silence_is_broken_by_signs_of_life() -> None:
    async def heard() -> str:
        channels = Channels()
        window = channels.listen("x")
        await anext(window)
        return await asyncio.wait_for(anext(window), 5)

    before, module.BEAT = module.BEAT, 0.02
    try:
        assert run_apart(heard()) == ": beat\n\n"
    finally:
        module.BEAT = before
