"""Whether playing goes on while the line is edited, as a listener hears it in Chromium.

A window loops eight bars of 64 while 40 edits are made, 0.3 seconds apart, in bursts of five with a pause in
which the new sound may come. Beside the stems plays a pilot, a stem of ones, as long as they are and
exchanged with them; the stems themselves are turned down. A hole, or two sounds at once, shows at the
output as another value than one.
"""

from __future__ import annotations

import os
import shutil
import time
from typing import Any

from desk_server import CHORDS, running_server

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
