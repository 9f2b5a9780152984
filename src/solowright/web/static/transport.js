// Play, loop, tempo and stems for a player: the foot of the page.

import { SwElement, h, s, sheet } from "./element.js";
import { barAt, barsWords, beatText } from "./music.js";

/**
 * @typedef {import("./player.js").Player} Player
 * @typedef {import("./types.js").View} View
 * @typedef {import("./types.js").StateDetail} StateDetail
 */

const LOOK = sheet(`
:host { font-size: var(--text-2); }
.bar { display: flex; flex-wrap: wrap; gap: 0.5rem 1.25rem; align-items: center; }
button { font: inherit; color: inherit; background: transparent; border: 1px solid var(--edge); border-radius: 0.35rem; min-height: 2.5rem; padding: 0.25rem 0.8rem; cursor: pointer; touch-action: manipulation; }
button:hover { background: var(--wash); }
button[aria-pressed="true"] { border-color: var(--ink); box-shadow: inset 0 -3px 0 var(--blue); }
.play { min-width: 3.5rem; background: var(--ink); border-color: var(--ink); color: var(--paper); display: inline-flex; justify-content: center; align-items: center; }
.play:hover { background: var(--blue); border-color: var(--blue); color: var(--on-blue); }
.play svg { width: 1.1rem; height: 1.1rem; fill: currentColor; display: block; }
.play[aria-busy="true"] svg { opacity: 0.45; }
.place { min-width: 7.5rem; font-variant-numeric: tabular-nums; }
.place small { color: var(--soft); display: block; font-size: var(--text-1); }
fieldset { border: 0; margin: 0; padding: 0; display: flex; flex-wrap: wrap; gap: 0.35rem 0.9rem; align-items: center; }
fieldset[hidden] { display: none; }
legend { float: left; color: var(--soft); padding: 0; margin-right: 0.75rem; }
label { display: inline-flex; gap: 0.4rem; align-items: center; min-height: 2rem; cursor: pointer; }
.tempo { display: flex; gap: 0.5rem; align-items: center; flex: 1 1 15rem; max-width: 26rem; }
.tempo label { min-height: 0; flex: none; color: var(--soft); }
.tempo input { flex: 1; min-width: 5rem; height: 2.25rem; }
.tempo output { min-width: 7.2rem; font-variant-numeric: tabular-nums; }
input { accent-color: var(--blue); }
input[type="checkbox"] { width: 1.15rem; height: 1.15rem; margin: 0; }
.stem input[type="range"] { width: 4.5rem; }
.silent { color: var(--hot); }
.silent:empty { display: none; }
@media (pointer: coarse) { button, label { min-height: 2.75rem; } .stem input[type="range"] { width: 6rem; } }
@media print { :host { display: none; } }
`);
const PLAY = "M3 1.5v17l15-8.5z";
const PAUSE = "M3 2h5v16H3zm9 0h5v16h-5z";
const SLOWEST = 30;
const FASTEST = 110;
const STEP = 5;
const NAMES = { guitar: "Guitar", bass: "Bass", drums: "Drums", comping: "Comping", brass: "Brass", click: "Click", drone: "Drone" };

export class Transport extends SwElement {
  /** @type {Player|null} */ #player = null;
  /** @type {View|null} */ #view = null;
  /** @type {number[]|null} */ #tempos = null;
  /** @type {AbortController|null} */ #listening = null;
  #stemNames = "";
  #place = "";

  constructor() {
    super(LOOK);
    this.icon = s("path", { d: PLAY });
    this.playButton = h("button", { type: "button", class: "play", onclick: () => this.play() }, s("svg", { viewBox: "0 0 20 20", "aria-hidden": "true" }, this.icon));
    this.startButton = h("button", { type: "button", onclick: () => this.toStart() }, "To the start");
    this.loopButton = h("button", { type: "button", onclick: () => this.letGo(), hidden: true }, "");
    this.counts = h("input", { type: "checkbox", checked: true, onchange: () => this.#player && (this.#player.counts = this.counts.checked) });
    this.tempo = h("input", { type: "range", id: "tempo", min: SLOWEST, max: FASTEST, step: STEP, value: 100, oninput: () => this.setTempo() });
    this.tempoWords = h("output", { for: "tempo" });
    this.where = h("div", { class: "place" });
    this.stems = h("fieldset", { hidden: true }, h("legend", {}, "Stems"));
    this.fault = h("p", { class: "silent", role: "alert" });
    this.root.append(
      h(
        "div",
        { class: "bar", role: "group", "aria-label": "Hearing" },
        this.playButton, this.startButton, this.where, this.loopButton,
        h("div", { class: "tempo" }, h("label", { for: "tempo" }, "Tempo"), this.tempo, this.tempoWords),
        h("label", {}, this.counts, "Count in"),
        this.stems,
      ),
      this.fault,
    );
  }

  disconnectedCallback() {
    this.#listening?.abort();
  }

  get player() {
    return this.#player;
  }

  set player(player) {
    this.#listening?.abort();
    this.#player = player;
    if (!player) return;
    const { signal } = (this.#listening = new AbortController());
    player.addEventListener("sw-state", () => this.show(), { signal });
    player.addEventListener("sw-time", (event) => this.showPlace(/** @type {CustomEvent} */ (event).detail), { signal });
    player.addEventListener("sw-silent", () => (this.fault.textContent = "The sound for this tempo didn't come. Try another tempo, or play again."), { signal });
    this.show();
  }

  get view() {
    return this.#view;
  }

  set view(view) {
    this.#view = view;
    this.show();
  }

  /** The tempos there are, in percent of the show tempo; null: any. */
  get tempos() {
    return this.#tempos;
  }

  set tempos(tempos) {
    this.#tempos = tempos ? [...tempos].sort((one, other) => one - other) : null;
    this.tempo.min = String(this.#tempos ? 0 : SLOWEST);
    this.tempo.max = String(this.#tempos ? this.#tempos.length - 1 : FASTEST);
    this.tempo.step = String(this.#tempos ? 1 : STEP);
    this.show();
  }

  play() {
    this.fault.textContent = "";
    this.#player?.toggle().catch(() => undefined);
  }

  toStart() {
    const loop = this.#player?.loop;
    const bar = loop && "first" in loop ? this.#view?.bars.find((each) => each.number === loop.first) : null;
    this.#player?.seek(loop && "start" in loop ? loop.start : (bar?.time ?? 0));
  }

  letGo() {
    if (this.#player) this.#player.loop = null;
    this.send("sw-choose-bars", { first: null, last: null });
    this.playButton.focus();
  }

  setTempo() {
    const value = Number(this.tempo.value);
    if (this.#player) this.#player.percent = this.#tempos ? this.#tempos[value] : value;
  }

  show() {
    const player = this.#player;
    if (!player) return;
    this.counts.checked = player.counts;
    const runs = player.playing || player.waiting;
    this.icon.setAttribute("d", runs ? PAUSE : PLAY);
    this.playButton.setAttribute("aria-label", runs ? "Pause" : "Play");
    this.playButton.setAttribute("aria-busy", String(player.waiting));
    const { loop, percent } = player;
    this.loopButton.hidden = !loop;
    this.loopButton.setAttribute("aria-label", `Looping ${barsWords(loop)}; play on`);
    this.loopButton.textContent = loop && "first" in loop ? `Loop ${loop.first === loop.last ? loop.first : `${loop.first}–${loop.last}`} ×` : "Loop ×";
    this.tempo.value = String(this.#tempos ? this.#tempos.indexOf(percent) : percent);
    const beats = this.#view ? ` · ♩ ${Math.round((this.#view.tempo * percent) / 100)}` : "";
    this.tempoWords.textContent = `${percent} %${beats}`;
    this.tempo.setAttribute("aria-valuetext", `${percent} percent${beats.replace(" · ♩", ",")} quarters a minute`);
    this.showStems();
  }

  showStems() {
    const player = /** @type {Player} */ (this.#player);
    const names = player.stems.map(({ name }) => name).join();
    if (names !== this.#stemNames) {
      this.#stemNames = names;
      this.stems.hidden = !names;
      this.stems.replaceChildren(h("legend", {}, "Stems"), ...player.stems.map(({ name }) => this.stem(name)));
    }
    for (const { name, on, level } of player.stems) {
      const tick = this.stems.querySelector(`[data-on="${name}"]`);
      const slide = this.stems.querySelector(`[data-level="${name}"]`);
      if (tick instanceof HTMLInputElement) tick.checked = on;
      if (slide instanceof HTMLInputElement) slide.value = String(Math.round(100 * level));
    }
  }

  /** @param {string} name */
  stem(name) {
    const said = NAMES[/** @type {keyof typeof NAMES} */ (name)] ?? name;
    const tick = h("input", { type: "checkbox", "data-on": name, onchange: () => this.#player?.setStem(name, { on: tick.checked }) });
    const slide = h("input", {
      type: "range", min: 0, max: 100, value: 100, "data-level": name, "aria-label": `Level of ${said.toLowerCase()}`,
      oninput: () => this.#player?.setStem(name, { level: Number(slide.value) / 100 }),
    });
    return h("span", { class: "stem" }, h("label", {}, tick, said), slide);
  }

  /** @param {import("./types.js").TimeDetail} detail */
  showPlace({ time, counting }) {
    const view = this.#view;
    if (!view?.bars.length) return;
    const bar = view.bars[barAt(view, Math.max(0, time))];
    const beat = Math.max(1, bar.pulses.filter((pulse) => pulse <= time + 1e-3).length);
    const words = counting ? "Counting in" : `Bar ${bar.number} · ${beatText(beat)}`;
    if (words === this.#place) return;
    this.#place = words;
    this.where.textContent = words;
  }
}

customElements.define("sw-transport", Transport);
