"""Strangers at the door: other hosts, other pages, no token; and what the answers forbid the browser."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.desk.asking import HOME, PORT, TOKEN, Asker, asking


@pytest.fixture(scope="module")
def stranger(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Asker]:
    with asking(tmp_path_factory.mktemp("tunes"), known=False) as asker:
        yield asker


@pytest.fixture(scope="module")
def window(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Asker]:
    with asking(tmp_path_factory.mktemp("tunes")) as asker:
        yield asker


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/?token=wrong",
        "/?token=",
        "/api/tunes",
        "/static/desk/main.js",
        "/api/tunes/lantern",
        "/api/tunes/lantern/events",
        "/nowhere",
    ],
)
def test_without_the_token_nothing_is_shown(stranger: Asker, path: str) -> None:
    answer = stranger.get(path)
    assert answer.status_code == 401 and "Lantern" not in answer.text and "<" not in answer.text


def test_the_token_becomes_a_cookie_and_leaves_the_address(stranger: Asker) -> None:
    answer = stranger.get(f"/?token={TOKEN}")
    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie and "samesite=strict" in cookie and "domain" not in cookie
    stranger.client.cookies.clear()


def test_a_wrong_cookie_opens_nothing(stranger: Asker) -> None:
    assert stranger.get("/api/tunes", cookie=f"solowright-{PORT}=wrong").status_code == 401
    assert stranger.get("/api/tunes", cookie=f"solowright-1={TOKEN}").status_code == 401
    assert stranger.get("/api/tunes", cookie=f"solowright-{PORT}={TOKEN}").status_code == 200


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        f"evil.example:{PORT}",
        "127.0.0.1",
        f"127.0.0.1:{PORT + 1}",
        f"127.0.0.1.evil.example:{PORT}",
        f"127.0.0.1:{PORT}@evil.example",
        "",
    ],
)
def test_a_name_that_leads_here_from_elsewhere_gets_nothing(window: Asker, host: str) -> None:
    answer = window.get("/api/tunes", host=host)
    assert answer.status_code == 421 and "lantern" not in answer.text


def test_the_other_name_of_this_machine_is_fine(window: Asker) -> None:
    assert (
        window.get("/api/tunes", host=f"localhost:{PORT}", cookie=f"solowright-{PORT}={TOKEN}").status_code
        == 200
    )


@pytest.mark.parametrize(
    "origin",
    [
        "http://evil.example",
        f"https://127.0.0.1:{PORT}",
        "null",
        "http://127.0.0.1",
        f"http://127.0.0.1:{PORT}.evil.example",
        f"http://evil.example:{PORT}",
    ],
)
def test_posts_from_other_pages_are_refused(window: Asker, origin: str) -> None:
    before = sorted(window.folder.iterdir())
    answer = window.client.post("/api/demo", headers={"origin": origin})
    assert answer.status_code == 403 and sorted(window.folder.iterdir()) == before


def test_posts_that_say_nothing_of_their_page_are_refused(window: Asker) -> None:
    assert window.client.post("/api/demo").status_code == 403


def test_reading_from_another_page_is_refused(window: Asker) -> None:
    assert window.get("/api/tunes", origin="http://evil.example").status_code == 403
    assert window.get("/api/tunes", **{"sec-fetch-site": "cross-site"}).status_code == 403
    assert window.get("/api/tunes", **{"sec-fetch-site": "same-origin"}).status_code == 200


def test_a_form_cannot_post(window: Asker) -> None:
    answer = window.client.post("/api/tunes", data={"title": "x"}, headers={"origin": HOME})
    assert answer.status_code == 422 and "JSON" in answer.json()["error"]


@pytest.mark.parametrize("path", ["/", "/api/tunes", "/api/tunes/none", "/static/desk/main.js", "/nowhere"])
def test_every_answer_forbids_what_is_not_ours(window: Asker, path: str) -> None:
    headers = window.get(path).headers
    policy = dict(part.strip().split(" ", 1) for part in headers["content-security-policy"].split(";"))
    assert policy["default-src"] == "'none'" and policy["frame-ancestors"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["connect-src"] == "'self'"
    assert (
        "unsafe" not in headers["content-security-policy"]
        and "http" not in headers["content-security-policy"]
    )
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "no-referrer"


def test_the_page_obeys_its_own_policy(window: Asker) -> None:
    page = window.get("/").text
    assert "<style" not in page and " style=" not in page and " onclick" not in page
    assert page.count("<script") == page.count('<script type="module" src="/static/desk/')
    assert "http://" not in page and "https://" not in page


def test_no_system_carries_a_style_or_a_script(window: Asker) -> None:
    for system in window.open()["view"]["systems"]:
        assert "style=" not in system["svg"] and "<script" not in system["svg"]


@pytest.mark.parametrize(
    "path",
    [
        "/static/desk/../guard.py",
        "/static/desk/%2e%2e/guard.py",
        "/fonts/../app.py",
        "/static/web/..%2fview.py",
        "/fonts/%2e%2e%2fLICENSE.txt",
        "/fonts/LICENSE.txt",
        "/static/desk//etc/passwd",
    ],
)
def test_no_path_leads_out_of_the_pages_files(window: Asker, path: str) -> None:
    assert window.get(path).status_code == 404


def test_the_faces_are_served(window: Asker) -> None:
    assert window.get("/fonts/SourceSansPro-Regular.ttf").content[:4] == b"\0\1\0\0"


@pytest.mark.parametrize(
    "name", ["..%2flantern", "%2e%2e", "a%2fb", "..%5clantern", "%00", "lantern%00", ".solowright"]
)
def test_no_name_leads_out_of_the_folder(window: Asker, name: str) -> None:
    answer = window.get(f"/api/tunes/{name}")
    assert answer.status_code == 404 and "Traceback" not in answer.text


def test_two_desks_do_not_share_a_token(tmp_path: Path) -> None:
    from solowright.desk import serve

    assert serve.HOST == "127.0.0.1"
