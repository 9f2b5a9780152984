"""How quick the desk is, and how much memory it takes: ``python benchmarks/desk.py [EDITS [PAUSE]]``.

A server of its own over a folder of its own, asked over its socket as the page asks it. The tune is the
bundled one, repeated to 64 and to 256 bars. EDITS (120) edits of every kind are made one after the other,
chosen by chance (seed 1), PAUSE (0.4) seconds apart as by a quick player; what follows an edit (file, arc,
sound) goes on behind them. Undo is counted apart, since what it shows is kept. Then stems at three tempos
and four exports are asked for, and memory is read (proportional set size, of the server and of its back
rooms). The hour's use that the goals speak of is scaled down to this; memory is read twice, at half and at
the end, to show whether it grows.
"""

from __future__ import annotations

import random
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from statistics import median
from typing import Any
from urllib.parse import urlsplit

import httpx2
from rich.console import Console
from rich.table import Table

from solowright.demo import bundled_tune
from solowright.files.load import save
from solowright.music.chart import Chart, Section
from solowright.music.line import Note, make_line
from solowright.music.tune import Tune

SERVE = """
import sys
from pathlib import Path
from solowright.desk.serve import serve

if __name__ == "__main__":
    serve(Path(sys.argv[1]), 0, browser=False, tell=lambda address: print(address, flush=True))
"""
CHORDS = ("A7", "D9", "Bm7 E7", "F#7#9", "Cmaj7")


def long_tune(bars: int) -> Tune:
    """The bundled tune over and over, in sections of eight bars."""
    tune = bundled_tune()
    chart = tune.chart
    written, notes, now = [], list[Note](), Fraction(0)
    for count in range(bars):
        index = count % len(chart.bars)
        start, end = chart.starts[index], chart.starts[index + 1]
        notes += [
            replace(note, onset=note.onset - start + now, duration=min(note.end, end) - note.onset)
            for note in tune.line.notes
            if start <= note.onset < end
        ]
        written.append(chart.bars[index])
        now += end - start
    sections = tuple(Section(f"S{n // 8 + 1}", tuple(written[n : n + 8])) for n in range(0, bars, 8))
    return replace(tune, title=f"Tramline, {bars} bars", chart=Chart(sections), line=make_line(notes))


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


def use(window: Window, edits: int, pause: float) -> dict[str, list[float]]:
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
        time.sleep(pause)
        if made % 5 == 0 or kind == "insert_bars":
            seconds = window.post("undo")
            if seconds is not None:
                took["undo"].append(seconds)
            time.sleep(pause)
    return took


def memory(process: int) -> dict[str, float]:
    """MiB of a server and of its back room: each page shared is counted in shares."""
    tasks = Path(f"/proc/{process}/task").glob("*/children")
    children = [child for task in tasks for child in task.read_text().split()]
    sizes: dict[str, float] = {}
    for name, number in (("server", str(process)), *(("back rooms", child) for child in children)):
        lines = Path(f"/proc/{number}/smaps_rollup").read_text().splitlines()
        pss = next(int(line.split()[1]) for line in lines if line.startswith("Pss:"))
        sizes[name] = sizes.get(name, 0.0) + pss / 1024
    return sizes


def hand_on(window: Window) -> None:
    """Asks for stems at three tempos, and for files, and waits for all of them."""
    for percent in (100, 80, 60):
        for stem in window.answer["sound"]:
            window.client.get(f"{window.at}/sound/{stem}?percent={percent}").read()
    for kind in ("booklet", "musicxml", "audio", "stems"):
        job = window.client.post(f"{window.at}/exports", json={"kind": kind}).json()["job"]
        while window.client.get(f"/api/jobs/{job}/file").status_code != 200:
            time.sleep(0.2)


def measure(bars: int, edits: int, pause: float, table: Table, kinds: Table) -> None:
    """One server and one tune, from the cold start to the last edit."""
    with tempfile.TemporaryDirectory() as space:
        folder = Path(space) / "tunes"
        folder.mkdir()
        save(long_tune(bars), folder / "long.solo")
        script = Path(space) / "serve.py"
        script.write_text(SERVE)
        begun = time.perf_counter()
        command = [sys.executable, str(script), str(folder)]
        server = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        try:
            assert server.stdout is not None
            window = Window(server.stdout.readline().strip(), "long")
            start = time.perf_counter() - begun
            cold, warm = window.open(), min(window.open() for _ in range(3))
            half = use(window, edits // 2, pause)
            hand_on(window)
            before = memory(server.pid)
            took = use(window, edits - edits // 2, pause)
            hand_on(window)
            after = memory(server.pid)
        finally:
            server.terminate()
            server.wait(30)
    for kind, seconds in took.items():
        half[kind] += seconds
    every = [1000 * second for kind, seconds in half.items() if kind != "undo" for second in seconds]
    table.add_row(
        str(bars),
        f"{start:.2f}",
        f"{cold:.2f}",
        f"{1000 * warm:.0f}",
        f"{median(every):.0f}",
        f"{sorted(every)[int(0.95 * (len(every) - 1))]:.0f}",
        f"{max(every):.0f}",
        str(len(every)),
        " → ".join(f"{size['server']:.0f}" for size in (before, after)),
        " → ".join(f"{size['back rooms']:.0f}" for size in (before, after)),
    )
    for kind, seconds in sorted(half.items()):
        kinds.add_row(str(bars), kind, str(len(seconds)), f"{1000 * median(seconds):.0f}")


def main() -> None:
    edits = int(sys.argv[1]) if len(sys.argv) > 1 else 120
    pause = float(sys.argv[2]) if len(sys.argv) > 2 else 0.4
    columns = ("bars", "start, s", "first view, s", "again, ms", "edit median, ms", "95 %", "most", "edits")
    table = Table(*columns, "server, MiB", "back rooms, MiB")
    kinds = Table("bars", "edit", "made", "median, ms")
    for bars, count in ((64, edits), (256, edits // 4)):
        measure(bars, count, pause, table, kinds)
    console = Console(width=140)
    console.print(table)
    console.print(kinds)


if __name__ == "__main__":
    main()
