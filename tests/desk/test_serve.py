"""The desk as a process of its own, on a real socket."""

from __future__ import annotations

import json
import signal
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import httpx2
import pytest

from solowright.desk.serve import serve
from solowright.errors import InputError
from tests.desk.tunes import LANTERN

_SERVE = """
import sys
from pathlib import Path
from solowright.desk.serve import serve

if __name__ == "__main__":
    serve(Path(sys.argv[1]), 0, browser=False, tell=lambda address: print(address, flush=True))
"""


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    folder = tmp_path_factory.mktemp("tunes")
    (folder / "lantern.solo").write_bytes(LANTERN)
    script = folder / "run.py"
    script.write_text(_SERVE)
    with subprocess.Popen(
        [sys.executable, str(script), str(folder)], stdout=subprocess.PIPE, text=True
    ) as desk:
        assert desk.stdout is not None
        yield desk.stdout.readline().strip()
        desk.terminate()
        assert desk.wait(20) is not None


def test_a_window_is_let_in_and_hears_of_another_ones_edit(address: str) -> None:
    home = "{0.scheme}://{0.netloc}".format(urlsplit(address))
    with httpx2.Client(base_url=home, headers={"origin": home}, timeout=30) as window:
        assert window.get("/api/tunes").status_code == 401
        assert window.get(address.partition("#")[0], follow_redirects=True).status_code == 200
        tune = window.get("/api/tunes/lantern").json()
        with window.stream("GET", "/api/tunes/lantern/events") as events:
            lines = events.iter_lines()
            assert next(lines).startswith(":")
            wish = {"revision": tune["revision"], "edit": {"kind": "tempo", "tempo": 101}}
            answer = window.post("/api/tunes/lantern/edits", json=wish).json()
            assert answer["view"]["tempo"] == 101
            told = next(line for line in lines if line.startswith("data:") and "revision" in line)
            assert told == f'data: {{"revision": {answer["revision"]}}}'
            arc = json.loads(next(line for line in lines if '"arc"' in line).removeprefix("data:"))
            assert arc["of"] == answer["revision"]
            assert arc["arc"] == window.get("/api/tunes/lantern").json()["view"]["arc"]
            assert arc["arc"] != answer["view"]["arc"] == tune["view"]["arc"]


def test_only_this_machine_is_served(address: str) -> None:
    port = urlsplit(address).port
    assert urlsplit(address).hostname == "127.0.0.1"
    for other in {info[4][0] for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)}:
        if not other.startswith("127."):
            with socket.socket() as knocking, pytest.raises(OSError):
                knocking.settimeout(2)
                knocking.connect((other, port))


def test_a_request_that_never_ends_is_let_go(address: str, monkeypatch: pytest.MonkeyPatch) -> None:
    parts = urlsplit(address)
    with socket.create_connection((parts.hostname, parts.port), timeout=10) as slow:
        slow.sendall(b"GET / HTTP/1.1\r\nHost: x\r\nX: " + b"y" * 200_000)
        slow.settimeout(10)
        answer = b""
        try:
            while chunk := slow.recv(4096):
                answer += chunk
        except ConnectionResetError:
            pass
        assert answer == b"" or answer.startswith(b"HTTP/1.1 4")


def test_a_port_that_is_taken_is_told(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with pytest.raises(InputError, match="--port"):
            serve(tmp_path, taken.getsockname()[1], browser=False, tell=lambda address: None)


def test_a_folder_that_cannot_be_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(InputError, match="can't be used"):
        serve(tmp_path / "file", 0, browser=False, tell=lambda address: None)


def test_it_stops_quietly_while_a_sound_is_waited_for(tmp_path: Path) -> None:
    script = tmp_path / "run.py"
    script.write_text(_SERVE)
    (tmp_path / "lantern.solo").write_bytes(LANTERN)
    command = [sys.executable, str(script), str(tmp_path)]
    pipe = subprocess.PIPE
    with subprocess.Popen(command, stdout=pipe, stderr=pipe, text=True) as desk:
        assert desk.stdout is not None and desk.stderr is not None
        address = desk.stdout.readline().strip()
        home = "{0.scheme}://{0.netloc}".format(urlsplit(address))
        statuses: list[int] = []
        with httpx2.Client(base_url=home, headers={"origin": home}, timeout=60) as window:
            window.get(address.partition("#")[0], follow_redirects=True)
            asked = [
                threading.Thread(target=lambda stem=stem: statuses.append(
                    window.get(f"/api/tunes/lantern/sound/{stem}").status_code
                ))
                for stem in ("guitar", "drums", "comping")
            ]  # fmt: skip
            asked.append(threading.Thread(target=window.get, args=("/api/tunes/lantern/events",)))
            for each in asked:
                each.start()
            while not (tmp_path / ".solowright" / "sound").exists():
                threading.Event().wait(0.05)
            threading.Event().wait(0.7)  # the first is being played, the others wait
            desk.send_signal(signal.SIGTERM)
            for each in asked:
                each.join(20)
        said = desk.stderr.read()
    assert said == "", "no trace, and nothing left behind that Python would warn of"
    assert desk.returncode == 0
    assert len(statuses) == 3 and 422 in statuses and set(statuses) <= {200, 422}
