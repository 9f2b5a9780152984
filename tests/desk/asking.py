"""A desk over a folder of its own, asked without a browser."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from solowright.desk.app import make_app
from solowright.desk.desk import Desk, open_desk
from tests.desk.tunes import LANTERN

PORT, TOKEN = 8437, "a-token-for-tests"
HOME = f"http://127.0.0.1:{PORT}"


@dataclass
class Asker:
    """A window without a browser: it holds the cookie and says where it comes from."""

    desk: Desk
    client: TestClient
    folder: Path
    revision: int = 0

    def get(self, path: str, **headers: str) -> Any:
        return self.client.get(path, headers=headers)

    def post(self, path: str, body: Any = None, **headers: str) -> Any:
        return self.client.post(path, json=body, headers={"origin": HOME, **headers})

    def open(self, name: str = "lantern") -> Any:
        answer = self.get(f"/api/tunes/{name}").json()
        self.revision = answer["revision"]
        return answer

    def edit(self, kind: str, name: str = "lantern", **facts: Any) -> Any:
        edit = {"kind": kind, **{fact.rstrip("_"): value for fact, value in facts.items()}}
        answer = self.post(f"/api/tunes/{name}/edits", {"revision": self.revision, "edit": edit})
        self.revision = answer.json().get("revision", self.revision)
        return answer


@contextmanager
def asking(folder: Path, known: bool = True, bring: bool = True) -> Iterator[Asker]:
    """An asker at a desk over ``folder``, which holds one tune (``bring``: put there first); ``known`` has
    the cookie already."""
    if bring:
        (folder / "lantern.solo").write_bytes(LANTERN)
    desk = open_desk(folder)
    client = TestClient(
        make_app(desk, TOKEN, PORT), base_url=HOME, follow_redirects=False, raise_server_exceptions=False
    )
    if known:
        client.get(f"/?token={TOKEN}")
    try:
        yield Asker(desk, client, folder)
    finally:
        client.close()
        desk.close()
