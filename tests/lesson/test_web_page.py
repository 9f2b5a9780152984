"""The students' page in a real browser, opened from the disk with the network off, at three widths."""

from __future__ import annotations

import base64
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from playwright.sync_api import Browser, Page

from solowright.lesson.sounds import play_at, switched
from solowright.music.tune import Tune

STATIC = Path(__file__).parents[2] / "src" / "solowright" / "web" / "static"
WIDTHS = {"phone": (390, 844), "tablet": (820, 1180), "desktop": (1440, 900)}
RATE = 48_000
STEP = 0.030  # seconds that what is lit may be away from what sounds


@pytest.fixture(params=list(WIDTHS))
def page(request: pytest.FixtureRequest, browser: Browser, pack: Path) -> Iterator[Page]:
    width, height = WIDTHS[request.param]
    yield from opened(browser, pack, width, height)


@pytest.fixture
def wide(browser: Browser, pack: Path) -> Iterator[Page]:
    yield from opened(browser, pack, *WIDTHS["desktop"])


def opened(browser: Browser, pack: Path, width: int, height: int) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": width, "height": height}, offline=True, has_touch=True)
    page = context.new_page()
    faults: list[str] = []
    page.on("pageerror", lambda fault: faults.append(str(fault)))
    page.on("console", lambda said: faults.append(said.text) if said.type == "error" else None)
    page.on("request", lambda asked: faults.append(asked.url[:60]) if asked.url.startswith("http") else None)
    page.goto((pack / "lesson.html").as_uri())
    page.wait_for_selector("html[data-ready]", timeout=30_000)
    yield page
    context.close()
    assert not faults


def player(page: Page, asked: str) -> Any:
    return page.evaluate(f"() => document.querySelector('sw-player').{asked}")


def until(page: Page, true: str) -> None:
    """Waits for something to be true of the player (the page's own policy lets nobody else's code in)."""
    asked = f"() => {{ const {{ time, stems }} = document.querySelector('sw-player'); return {true}; }}"
    for _ in range(200):
        if page.evaluate(asked):
            return
        page.wait_for_timeout(20)
    raise AssertionError(f"never came: {true}")


def more(page: Page) -> None:
    """On a telephone tempo and stems wait behind a button."""
    if page.locator("#more").is_visible():
        page.locator("#more").click()


def test_nothing_is_wider_than_the_screen_and_all_is_there(page: Page) -> None:
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert page.title() == "Four <Small> Steps"
    assert page.locator("h1").inner_text() == "Four <Small> Steps"
    assert page.locator("#chapters .chapter").all_inner_texts() == ["Head", "Tail"]
    assert page.locator("sw-pages svg.drawing").count() >= 2
    assert page.locator("sw-neck svg circle").count() > 4


def test_play_pause_and_start(page: Page) -> None:
    page.get_by_label("Count in").uncheck() if page.get_by_label("Count in").is_visible() else None
    page.get_by_role("button", name="Play").click()
    until(page, "time > 0.4")
    page.get_by_role("button", name="Pause").click()
    assert not player(page, "playing") and player(page, "time") > 0.3
    page.get_by_role("button", name="To the start").click()
    assert player(page, "time") == 0


def test_loop_a_phrase_a_bar_and_let_go(page: Page) -> None:
    page.get_by_role("button", name="bars 3–4").click()
    assert player(page, "loop") == {"first": 3, "last": 4}
    assert player(page, "time") == pytest.approx(8 * 60 / 210, abs=0.01)
    page.keyboard.press("b")
    assert player(page, "loop") == {"first": 3, "last": 3}
    page.keyboard.press("p")
    assert player(page, "loop") == {"first": 3, "last": 4}
    page.get_by_role("button", name=re.compile("^Looping")).click()
    assert player(page, "loop") is None


def test_a_loop_comes_round(wide: Page) -> None:
    wide.keyboard.press("b")
    wide.evaluate("document.querySelector('sw-player').counts = false")
    bar = 4 * 60 / 210
    wide.keyboard.press(" ")
    until(wide, f"time > {0.7 * bar}")
    until(wide, f"time < {0.3 * bar}")
    assert player(wide, "playing")
    wide.keyboard.press(" ")
    assert not player(wide, "playing")


def test_slow_versions(page: Page) -> None:
    more(page)
    page.get_by_role("slider", name="Tempo").fill("0")
    assert player(page, "percent") == 60
    page.locator("h1").click()
    page.keyboard.press("+")
    page.keyboard.press("+")
    page.keyboard.press("+")
    assert player(page, "percent") == 100, "there is nothing faster"
    page.keyboard.press("-")
    assert player(page, "percent") == 80
    page.evaluate("document.querySelector('sw-player').counts = false")
    page.keyboard.press(" ")
    until(page, "time > 0.2")
    page.keyboard.press(" ")


def test_stems(page: Page) -> None:
    more(page)
    names = {stem["name"]: stem["on"] for stem in player(page, "stems")}
    assert names == {"guitar": True, "bass": True, "drums": True, "comping": True, "click": False}
    for label in ("Guitar", "Bass", "Drums", "Comping", "Click"):
        page.get_by_role("checkbox", name=label).click()
    assert {stem["name"]: stem["on"] for stem in player(page, "stems")} == {
        name: not on for name, on in names.items()
    }
    page.locator("h1").click()
    page.keyboard.press("g")
    assert {stem["name"]: stem["on"] for stem in player(page, "stems")}["guitar"]


def test_chapters_notes_and_reasons(page: Page) -> None:
    page.get_by_role("button", name="Tail", exact=True).click()
    assert player(page, "time") == pytest.approx(8 * 60 / 210, abs=0.01)
    assert page.locator("#chapters [aria-current]").all_inner_texts() == ["Tail", "bars 3–4"]
    assert "Bar 3" in page.locator("sw-reasons div").first.inner_text()
    note = page.locator("sw-pages .note[data-note='0']").first
    note.evaluate("note => note.focus()")
    page.keyboard.press("Enter")
    assert "string 3, fret 5" in page.locator("sw-reasons div").first.inner_text()
    page.locator("sw-form-strip .map").focus()
    page.keyboard.press("Home")
    page.keyboard.press("Enter")
    assert player(page, "time") == 0


def test_the_plainer_line(wide: Page) -> None:
    before = wide.evaluate("document.querySelector('sw-pages').view.notes.length")
    wide.get_by_label("Plainer").check()
    after = wide.evaluate("document.querySelector('sw-pages').view.notes.length")
    assert after < before
    words = wide.locator("#plainer-words").inner_text()
    assert "Bar 3: left out" in words or "Bar 1: left out" in words
    until(wide, "stems.length === 5")
    wide.get_by_label("As written").check()
    assert wide.evaluate("document.querySelector('sw-pages').view.notes.length") == before
    assert not wide.locator("#plainer-words").is_visible()


def test_it_prints_the_pages_and_no_controls(wide: Page) -> None:
    wide.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    wide.emulate_media(media="print")
    assert wide.locator("sw-pages svg.drawing").first.is_visible()
    for hidden in (".foot", ".strip", ".side", ".neck", "#print"):
        assert not wide.locator(hidden).is_visible()
    pdf = wide.pdf(format="A4")
    assert pdf.startswith(b"%PDF") and len(pdf) > 20_000


TAP = """
class Tap extends AudioWorkletProcessor {
  process([[wave]]) {
    if (wave) this.port.postMessage([currentFrame, wave.slice()]);
    return true;
  }
}
registerProcessor("tap", Tap);
"""
LISTEN = """async ([tap, percent, seconds]) => {
  const player = document.querySelector("sw-player");
  const pages = document.querySelector("sw-pages");
  const context = player.context;
  for (const { name } of player.stems) player.setStem(name, { on: name === "guitar" });
  player.counts = false;
  player.percent = percent;
  for (let n = 0; player.stems.length < 5 && n < 400; n += 1) await new Promise(done => setTimeout(done, 50));
  await context.audioWorklet.addModule(`data:text/javascript;base64,${btoa(tap)}`);
  const node = new AudioWorkletNode(context, "tap");
  const blocks = [];
  node.port.onmessage = event => blocks.push(event.data);
  player.output.connect(node);
  const frames = [];
  const look = () => {
    const lit = pages.parts.flatMap(part =>
      (part.sounds?.getAttribute("data-notes") || "").split(",").filter(Boolean).map(Number));
    const stamp = context.getOutputTimestamp();
    const now = stamp.contextTime + (performance.now() - stamp.performanceTime) / 1000;
    frames.push([now, lit, now <= context.currentTime + 0.03]);
    if (player.playing) requestAnimationFrame(look);
  };
  const late = new Promise((_, fail) => setTimeout(() => fail(new Error("no sound came")), 20000));
  await Promise.race([player.play(), late]);
  late.catch(() => undefined);
  requestAnimationFrame(look);
  await new Promise(done => setTimeout(done, 1000 * seconds));
  player.pause();
  const first = blocks[0][0];
  const last = blocks[blocks.length - 1][0] + 128;
  const sound = new Int16Array(last - first);
  for (const [at, wave] of blocks) wave.forEach((value, n) => (sound[at - first + n] = 32767 * value));
  const octets = new Uint8Array(sound.buffer);
  let text = "";
  for (let n = 0; n < octets.length; n += 8192) text += String.fromCharCode(...octets.subarray(n, n + 8192));
  return { start: first / context.sampleRate, rate: context.sampleRate, sound: btoa(text), frames,
    notes: pages.view.notes.map(({time, length}) => [time, time + length]) };
}"""


@pytest.mark.parametrize("percent", [100, 60])
def test_what_is_lit_is_what_sounds(wide: Page, steps: Tune, percent: int) -> None:
    """Against the guitar as it was rendered: the recording of what leaves the player tells where the music
    is, to the sample; then every frame's lit notes must sound within 30 ms of it, but for one in thirty.

    A busy machine holds single frames up, which no page can help: one of three listenings has to do.
    """
    guitar = switched(play_at(steps, percent / 100))["guitar"]
    wrong: list[list[str]] = []
    for _ in range(3):
        frames, notes = listen(wide, guitar, percent)
        wrong.append(out_of_step(frames, notes, STEP * percent / 100))
        if len(wrong[-1]) <= len(frames) / 30:
            return
    raise AssertionError(wrong)


def listen(page: Page, guitar: NDArray[np.float32], percent: int) -> tuple[list[Any], list[Any]]:
    """The frames in which something sounds, as (seconds at show tempo, lit notes); the notes' times."""
    told = page.evaluate(LISTEN, [TAP, percent, 4.0])
    assert told["rate"] == RATE
    heard = np.frombuffer(base64.b64decode(told["sound"]), "<i2").astype(np.float32)
    offset, likeness = place_of(guitar[: 3 * RATE], heard)
    assert likeness > 0.8, "it is this guitar that is heard"
    begins = told["start"] + offset / RATE  # context time of the tune's first beat
    frames = [((now - begins) * percent / 100, lit) for now, lit, sounds in told["frames"] if sounds]
    assert len(frames) > 20
    assert len({note for _, lit in frames for note in lit}) >= 8
    return frames, told["notes"]


def out_of_step(frames: list[Any], notes: list[Any], slack: float) -> list[str]:
    """What is lit and doesn't sound, or sounds and isn't lit, by more than ``slack`` seconds."""
    wrong = []
    for time, lit in frames:
        for note, (start, end) in enumerate(notes):
            if note in lit and not start - slack <= time <= end + slack:
                wrong.append(f"note {note} lit at {time:.3f}")
            if note not in lit and start + slack <= time <= end - slack:
                wrong.append(f"note {note} not lit at {time:.3f}")
    return wrong


def place_of(part: NDArray[np.float32], whole: NDArray[np.float32]) -> tuple[int, float]:
    """Where a part begins in a recording, in samples, and how alike the two are there (1: the same)."""
    size = 1 << int(np.ceil(np.log2(len(part) + len(whole))))
    product = np.fft.irfft(np.fft.rfft(whole, size) * np.fft.rfft(part, size).conj())
    at = int(np.argmax(product))
    place = at if at < size // 2 else at - size
    here = whole[max(0, place) : place + len(part)]
    return place, float(product[at] / (np.linalg.norm(here) * np.linalg.norm(part[: len(here)]) + 1e-9))


def test_it_holds_together_as_one_file(pack: Path) -> None:
    text = (pack / "lesson.html").read_text("utf-8")
    assert not re.search(r'(?:src|href)="(?!data:)', text)
    assert "https://" not in re.sub(r'<script type="text/plain".*?</script>', "", text, flags=re.DOTALL)
    assert len(text) < 15_000_000


def test_every_module_that_is_imported_is_in_the_map(pack: Path) -> None:
    text = (pack / "lesson.html").read_text("utf-8")
    found = re.search(r'<script type="importmap">(.*?)</script>', text)
    assert found
    modules = json.loads(found[1])["imports"]
    for name, address in modules.items():
        module = base64.b64decode(address.partition(",")[2]).decode()
        for line in module.splitlines():
            if line.startswith(("import ", "export {", "} from ")) and '"' in line:
                asked = line.split('"')[1]
                assert asked in modules, f"{name}: {line}"
    shared = {path.stem for path in STATIC.glob("*.js")} - {"types"}
    assert {f"solowright/{stem}.js" for stem in shared} <= set(modules)
