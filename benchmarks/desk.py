"""How quick the desk is, what memory it takes, whether playing goes on: ``python benchmarks/desk.py``.

A server of its own over a folder of its own, asked over its socket as the page asks it; under five minutes
on a machine with nothing else to do. The tune is the bundled one, repeated to 64 and to 256 bars.

*An hour's use* of 64 bars is 160 edits of every kind, chosen by chance (seed 1), every fifth undone, the
speak report, sound at three tempos and six files, half of that after the first half of the edits. All of
it is done; what is scaled is the time between: half a second after each edit in place of twenty. That makes
nothing easier: what follows an edit (file, arc, sound) goes on behind the next ones, and the back rooms,
which end when they have nothing to do, never do. 256 bars get 24 edits.

Memory is the proportional set size (``Pss`` in /proc/PID/smaps_rollup), six seconds after the last work:
back rooms without any end after thirty. The most is of the server and all of its children together, read
four times a second.

Playing while editing is measured in ``desk_playing``.
"""

from __future__ import annotations

import random
import threading
import time
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median
from typing import Any
from urllib.parse import urlsplit

import httpx2
from rich.console import Console
from rich.table import Table

from desk_playing import play_while_editing
from desk_server import CHORDS, running_server

PAUSE = 0.5  # seconds after an edit
SETTLE = 6.0  # seconds after which nothing is under way


class Window:
    """What the page does, without a browser."""

    def __init__(self, address: str, name: str) -> None:
        parts = urlsplit(address)
        home = f"{parts.scheme}://{parts.netloc}"
        self.client = httpx2.Client(base_url=home, headers={"origin": home}, timeout=120)
        self.client.get(f"/?{parts.query}")
        self.at = f"/api/tunes/{name}"
        self.answer: dict[str, Any] = {}

    def open(self) -> float:
        begun = time.perf_counter()
        response = self.client.get(self.at)
        took = time.perf_counter() - begun
        self.answer = response.json()
        return took

    def post(self, way: str, **facts: Any) -> float | None:
        """How long the answer took; None where it was a refusal."""
        begun = time.perf_counter()
        response = self.client.post(f"{self.at}/{way}", json={"revision": self.answer["revision"], **facts})
        took = time.perf_counter() - begun
        if response.status_code != 200:
            return None
        self.answer = response.json()
        return took

    def get(self, path: str) -> Any:
        return self.client.get(f"{self.at}/{path}").json()


def make_edits(window: Window, chance: random.Random) -> dict[str, Callable[[], dict[str, Any]]]:
    """A way to make an edit of each kind that fits the tune as it is now."""

    def note() -> int:
        return chance.randrange(len(window.answer["view"]["notes"]))

    def bar() -> int:
        return chance.randint(1, len(window.answer["view"]["bars"]))

    def place() -> dict[str, Any]:
        index = note()
        spot = chance.choice(window.get(f"places?note={index}"))
        return {"note": index, "string": spot["string"], "fret": spot["fret"]}

    def other_chord() -> dict[str, Any]:
        number = bar()
        now = [chord["symbol"] for chord in window.answer["view"]["bars"][number - 1]["chords"]]
        return {"bar": number, "text": chance.choice([text for text in CHORDS if text.split() != now])}

    def retyped() -> dict[str, Any]:
        number = bar()
        other = window.get(f"bar?bar={number % len(window.answer['view']['bars']) + 1}")["tab"] or ""
        return {"bar": number, "text": "\n".join(other.splitlines()[1:])}  # without its label

    def spoken() -> dict[str, Any]:
        sentence = chance.choice(window.answer["view"]["sentences"])
        return {"sentence": sentence["id"], "text": "Lean on this one."}

    return {
        "place": place,
        "lock": lambda: {"note": note()},
        "free": lambda: {"note": note()},
        "finger": lambda: {"note": note(), "finger": chance.randint(1, 4)},
        "entry": lambda: {"note": note(), "entry": chance.choice(("pick", "slide", None))},
        "chord": other_chord,
        "bar_abc": lambda: {"bar": bar(), "text": "A2 c2 e2 g2"},
        "bar_tab": retyped,
        "hits": lambda: {"bar": bar(), "beats": [1, 2.5]},
        "section": lambda: {"bar": bar(), "name": "New"},
        "sentence": spoken,
        "remark": lambda: {"from": {"bar": bar(), "beat": 1}, "text": "breathe"},
        "insert_bars": lambda: {"before": bar(), "count": 1},
    }


def use(window: Window, edits: int) -> dict[str, list[float]]:
    """Makes edits of all kinds, undoes every fifth, and gives the seconds each took, by kind."""
    chance = random.Random(1)
    kinds = make_edits(window, chance)
    took: dict[str, list[float]] = defaultdict(list)
    made = 0
    while made < edits:
        kind = chance.choice([*kinds])
        seconds = window.post("edits", edit={"kind": kind, **kinds[kind]()})
        if seconds is None:
            continue
        took[kind].append(seconds)
        made += 1
        time.sleep(PAUSE)
        if made % 5 == 0 or kind == "insert_bars":
            seconds = window.post("undo")
            if seconds is not None:
                took["undo"].append(seconds)
            time.sleep(PAUSE)
    return took


def listen_and_hand_on(window: Window, percent: tuple[int, ...], files: tuple[str, ...]) -> None:
    """Asks for the sound at some tempos, for the speak report and for files, and waits for all of them."""
    for share in percent:
        for stem in window.answer["sound"]:
            window.client.get(f"{window.at}/sound/{stem}?percent={share}").read()
    window.get("speak")
    for kind in files:
        job = window.client.post(f"{window.at}/exports", json={"kind": kind}).json()["job"]
        while window.client.get(f"/api/jobs/{job}/file").status_code != 200:
            time.sleep(0.1)


def memory(process: int) -> tuple[float, float]:
    """MiB of a server, and of its children: each page shared is counted in shares."""
    tasks = Path(f"/proc/{process}/task").glob("*/children")
    children = [child for task in tasks for child in task.read_text().split()]
    return _own_share(str(process)) / 1024, sum(map(_own_share, children)) / 1024


def _own_share(process: str) -> int:
    try:
        lines = Path(f"/proc/{process}/smaps_rollup").read_text().splitlines()
    except OSError:  # it has just ended
        return 0
    return next((int(line.split()[1]) for line in lines if line.startswith("Pss:")), 0)


@dataclass
class Watch:
    """Reads the memory of a server four times a second."""

    process: int
    most: float = 0.0
    over: threading.Event = field(default_factory=threading.Event)

    def run(self) -> None:
        while not self.over.wait(0.25):
            self.most = max(self.most, sum(memory(self.process)))


def measure(bars: int, edits: int) -> dict[str, str]:
    """One server and one tune, from the cold start to the last edit."""
    with running_server(bars) as (process, address, start):
        watch = Watch(process)
        threading.Thread(target=watch.run, daemon=True).start()
        window = Window(address, "long")
        cold, warm = window.open(), min(window.open() for _ in range(3))
        took = use(window, edits // 2)
        hour = bars == 64
        if hour:
            listen_and_hand_on(window, (100, 80), ("booklet", "musicxml", "midi"))
            time.sleep(SETTLE)
            half = memory(process)
        for kind, seconds in use(window, edits - edits // 2).items():
            took[kind] += seconds
        if hour:
            listen_and_hand_on(window, (60,), ("audio", "parts", "page"))
            time.sleep(SETTLE)
        end = memory(process)
        watch.over.set()
    every = sorted(1000 * second for kind, each in took.items() if kind != "undo" for second in each)
    slowest = max(((median(each), kind) for kind, each in took.items()), default=(0.0, ""))
    told = {
        "server started, s": f"{start:.2f}",
        "first view, s": f"{cold:.2f}",
        "view again, ms": f"{1000 * warm:.0f}",
        "edit to new page, median, ms": f"{median(every):.0f}",
        "edit to new page, 95 %, ms": f"{every[int(0.95 * (len(every) - 1))]:.0f}",
        "edit to new page, longest, ms": f"{every[-1]:.0f}",
        "undo, median, ms": f"{1000 * median(took['undo']):.0f}",
        "slowest kind of edit, median, ms": f"{1000 * slowest[0]:.0f} ({slowest[1]})",
        "edits made": str(len(every)),
    }
    if hour:
        told["server's memory, half → end, MiB"] = f"{half[0]:.0f} → {end[0]:.0f}"
        told["… with its back rooms, MiB"] = f"{sum(half):.0f} → {sum(end):.0f}"
        told["… with back rooms at work, at most, MiB"] = f"{watch.most:.0f}"
    return told


# Wraps what supplies the player: a stem of ones comes with every sound.
GOALS = {
    "first view, s": "1",
    "view again, ms": "200",
    "edit to new page, median, ms": "100",
    "edit to new page, 95 %, ms": "200",
    "server's memory, half → end, MiB": "400",
    "playing: drop-outs": "0",
}


def main() -> None:
    small, large = {**measure(64, 160), **play_while_editing()}, measure(256, 24)
    table = Table("the desk", "64 bars", "256 bars", "goal for 64")
    for what, figure in small.items():
        table.add_row(what, figure, large.get(what, ""), GOALS.get(what, ""))
    Console(width=110).print(table)


if __name__ == "__main__":
    main()
