"""Practice at the desk: the course, tries logged and taken back, refusals."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from solowright.desk.app import make_app
from solowright.desk.desk import open_desk
from solowright.desk.practising import log_try, practice_json, take_back
from solowright.desk.tunes import Tunes
from solowright.errors import InputError
from tests.conftest import SHEET

PORT, TOKEN = 8437, "a-token-for-tests"


@pytest.fixture
def tunes(tmp_path: Path) -> Iterator[Tunes]:
    (tmp_path / "ferry.solo").write_text(SHEET, "utf-8")
    tunes = Tunes(tmp_path)
    yield tunes
    tunes.close()


def test_a_tune_has_loops_with_borders_in_seconds(tunes: Tunes) -> None:
    answer = practice_json(tunes, "ferry", {"gig": "", "level": "97"})
    loop = answer["loops"][0]
    assert 0 <= loop["start"] < loop["end"] <= 8.0  # four bars of 4/4 at 120
    assert loop["next"]["tempo"] == loop["ladder"][0]
    assert answer["plan"] is None and len(answer["cautions"]) == 2 and "<svg" in answer["progress"]


def test_tries_are_logged_and_taken_back(tunes: Tunes) -> None:
    name = practice_json(tunes, "ferry", {})["loops"][0]["name"]
    for _ in range(3):
        log_try(tunes, "ferry", {"loop": name, "clean": True})
    loop = practice_json(tunes, "ferry", {})["loops"][0]
    assert loop["rung"] == 1 and loop["next"]["kind"] == "burst" and len(loop["tries"]) == 3
    take_back(tunes, "ferry")
    loop = practice_json(tunes, "ferry", {})["loops"][0]
    assert loop["rung"] == 0 and loop["clean"] == 2


@pytest.mark.parametrize(
    ("posted", "what"),
    [({"loop": "bar 99", "clean": True}, "gone"), ({"clean": True}, "gone"), ({"clean": 1}, "gone")],
)
def test_a_loop_that_isnt_there_is_refused(tunes: Tunes, posted: dict[str, object], what: str) -> None:
    with pytest.raises(InputError, match=what):
        log_try(tunes, "ferry", posted)
    with pytest.raises(InputError, match="no try"):
        take_back(tunes, "ferry")


def test_the_routes(tunes: Tunes) -> None:
    desk = open_desk(tunes.folder)
    app = make_app(desk, TOKEN, PORT)
    with TestClient(app, base_url=f"http://127.0.0.1:{PORT}") as window:
        window.get(f"/?token={TOKEN}")
        place = "/api/tunes/ferry/practice"
        loops = window.get(place).json()["loops"]
        headers = {"origin": f"http://127.0.0.1:{PORT}"}
        tries = {"loop": loops[0]["name"], "clean": False, "gig": "2020-01-01"}
        refused = window.post(f"{place}/tries", json=tries, headers=headers)
        assert refused.status_code == 422 and "gig" in refused.json()["error"]
        assert window.get(place).json()["loops"][0]["tries"] == []
        tried = window.post(f"{place}/tries", json={**tries, "gig": ""}, headers=headers).json()
        assert [each["clean"] for each in tried["loops"][0]["tries"]] == [False]
        answer = window.post(f"{place}/back", json={}, headers=headers).json()
        assert answer["loops"][0]["tries"] == []
        assert window.get(f"{place}/sheet").content.startswith(b"%PDF")
        for wrong in ("level=loud", "level=nan", "minutes=inf", "gig=soon", "minutes=1"):
            extra = "&gig=2099-01-01" if wrong == "minutes=1" else ""
            assert window.get(f"{place}?{wrong}{extra}").status_code == 422
        assert window.get("/api/tunes/nowhere/practice").status_code == 404
