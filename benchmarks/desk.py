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

*Playing while editing* is a window in Chromium that loops eight bars of 64 while 40 edits are made, 0.3
seconds apart, in bursts of five with a pause in which the new sound may come. Beside the stems plays a
pilot, a stem of ones, as long as they are and exchanged with them; the stems themselves are turned down.
A hole, or two sounds at once, shows at the output as another value than one.
"""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
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
PAUSE = 0.5  # seconds after an edit
SETTLE = 6.0  # seconds after which nothing is under way
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


@contextmanager
def running_server(bars: int) -> Iterator[tuple[int, str, float]]:
    """A server over one tune; gives its number, the address to open, and the seconds it took to start."""
    with tempfile.TemporaryDirectory() as space:
        folder = Path(space) / "tunes"
        folder.mkdir()
        save(long_tune(bars), folder / "long.solo")
        script = Path(space) / "serve.py"
        script.write_text(SERVE)
        begun = time.perf_counter()
        command = [sys.executable, str(script), str(folder)]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as server:
            try:
                assert server.stdout is not None
                address = server.stdout.readline().strip()
                yield server.pid, address, time.perf_counter() - begun
            finally:
                server.terminate()


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
PILOT = """async (tap) => {
  const desk = document.querySelector("sw-tune"), player = desk.querySelector("sw-player");
  const { supply, context } = player;
  const ones = (length, rate) => {
    const buffer = context.createBuffer(1, length, rate);
    buffer.getChannelData(0).fill(1);
    return buffer;
  };
  window.taken = 0;
  player.supply = async (percent, signal) => {
    const supplied = await supply(percent, signal);
    const { length, sampleRate } = await context.decodeAudioData(supplied.stems.click.slice(0));
    window.taken += Number(!signal.aborted);
    return { ...supplied, stems: { ...supplied.stems, pilot: ones(length, sampleRate) } };
  };
  const names = Object.keys(desk.session.answer.sound);
  for (const name of names) player.setStem(name, { on: false });
  player.counts = false;
  desk.session.choose({ bars: { first: 1, last: 8 } });
  desk.foot.toggleLoop();
  await context.audioWorklet.addModule(URL.createObjectURL(new Blob([tap], { type: "text/javascript" })));
  const range = new AudioWorkletNode(context, "range");
  player.output.connect(range);
  window.heard = () => new Promise((resolve) => {
    range.port.onmessage = ({ data }) => resolve(data);
    range.port.postMessage(0);
  });
  await desk.foot.toggle();
}"""
RANGE = """class Range extends AudioWorkletProcessor {
  low = Infinity; high = -Infinity; late = 0; begun = Infinity;
  constructor() {
    super();
    this.port.onmessage = () => {
      this.port.postMessage([this.low, this.high, this.late]);
      [this.low, this.high, this.late] = [Infinity, -Infinity, 0];
    };
  }
  process([[wave]]) {
    const begun = Date.now() - 1000 * currentTime;
    this.begun = Math.min(this.begun, begun);
    this.late = Math.max(this.late, begun - this.begun);
    for (const value of wave ?? [0]) {
      this.low = Math.min(this.low, value);
      this.high = Math.max(this.high, value);
    }
    return true;
  }
}
registerProcessor("range", Range);"""
EDIT = "(edit) => document.querySelector('sw-tune').session.edit(edit)"


def play_while_editing() -> dict[str, str]:
    """What a listener hears while the line is edited, in Chromium."""
    browser = os.environ.get("SOLOWRIGHT_CHROMIUM") or shutil.which("chromium")
    if not browser:
        return {"playing while editing": "not measured: no Chromium"}
    from playwright.sync_api import sync_playwright

    with running_server(64) as (_, address, _), sync_playwright() as play:
        chromium = play.chromium.launch(
            executable_path=browser, args=["--no-sandbox", "--autoplay-policy=no-user-gesture-required"]
        )
        page = chromium.new_page(bypass_csp=True)  # for the tap alone: no module of ours would be let in
        page.add_init_script("localStorage.setItem('solowright-toured', 'yes')")
        page.goto(address)
        page.get_by_role("link", name="Tramline, 64 bars").click()
        page.locator("sw-pages .system svg.drawing").first.wait_for()
        page.evaluate(PILOT, RANGE)
        while not page.evaluate("document.querySelector('sw-player').playing"):
            page.wait_for_timeout(100)
        page.wait_for_timeout(1500)
        page.evaluate("window.heard()")
        begun = page.evaluate("window.taken")
        heard = [_burst(page, burst) for burst in range(8)]
        taken = page.evaluate("window.taken") - begun
        assert page.evaluate("document.querySelector('sw-player').playing")
        chromium.close()
    holes = sum(low < 0.99 or high > 1.01 for each in heard for low, high, _ in each)
    late = max(late for each in heard for *_, late in each)
    return {
        "playing: edits made → sounds taken over": f"{sum(map(len, heard)) - len(heard)} → {taken}",
        "playing: drop-outs": str(holes),
        "playing: sound late by at most, ms": f"{late:.0f}",
    }


def _burst(page: Any, burst: int) -> list[list[float]]:
    """Five edits, 0.3 s apart, then the new sound; what was heard in each piece of time."""
    heard = []
    for n in range(5):
        place = 5 * burst + n
        entry = "pick" if place % 2 else None
        line = {"kind": "entry", "note": place, "entry": entry}
        begun = time.perf_counter()
        page.evaluate(EDIT, line if n else {"kind": "chord", "bar": burst + 2, "text": CHORDS[burst % 2]})
        page.wait_for_timeout(max(0.0, 300 - 1000 * (time.perf_counter() - begun)))
        heard.append(page.evaluate("window.heard()"))
    before, patience = page.evaluate("window.taken"), time.perf_counter() + 5
    while page.evaluate("window.taken") == before and time.perf_counter() < patience:
        page.wait_for_timeout(100)
    page.wait_for_timeout(300)
    return [*heard, page.evaluate("window.heard()")]


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
