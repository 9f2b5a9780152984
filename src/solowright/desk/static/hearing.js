// The foot of the desk: play, loop, tempo, stems, count-in, and the gain at which slurs speak.

import "/static/web/player.js";
import * as api from "./api.js";
import { button, fill, h } from "./dom.js";
import { gainControl } from "./gain.js";
import { say } from "./say.js";
import { bars, tempo } from "./words.js";

/**
 * @typedef {import("./session.js").Session} Session
 * @typedef {import("/static/web/player.js").Player} Player
 */

const LEAST = 30; // percent of the show tempo
const MOST = 110;
const STEM_WORDS = { guitar: "guitar", bass: "bass", drums: "drums", comping: "comping", brass: "horns", click: "click" };

export class Hearing extends HTMLElement {
  /** @type {Session} */
  session = /** @type {any} */ (null);
  gain = /** @type {number | null} */ (null); // dB; null: as the rig has it

  connectedCallback() {
    this.setAttribute("role", "region");
    this.setAttribute("aria-label", "Hearing");
    this.player = /** @type {Player} */ (document.createElement("sw-player"));
    this.player.view = /** @type {any} */ (this.session.view);
    this.player.supply = (percent, signal) => this.supply(percent, signal);
    this.play = button("Play", () => this.toggle(), { class: "main play" });
    this.looping = button("Loop", () => this.toggleLoop(), { class: "loop" });
    this.stems = h("fieldset", { class: "words stems" });
    this.gainPlace = h("div", { class: "gain" });
    const counts = h("input", { type: "checkbox", checked: true, id: "counts" });
    counts.addEventListener("change", () => /** @type {Player} */ (this.player).counts = counts.checked);
    const mix = h(
      "div",
      { class: "mix", id: "mix" },
      this.stems,
      h("label", { class: "tick counts" }, counts, " count in"),
      this.gainPlace,
    );
    const fold = button("Mix", () => fold.setAttribute("aria-expanded", String(mix.classList.toggle("open"))), {
      class: "fold",
      "aria-expanded": "false",
      "aria-controls": "mix",
    });
    fill(this, this.player, h("div", { class: "row-play" }, this.play, this.looping, fold), this.tempoControl(), mix);
    this.addEventListener("sw-state", () => this.show());
    this.addEventListener("sw-silent", (event) => this.refuse(/** @type {CustomEvent} */ (event).detail.fault));
    this.session.addEventListener("changed", () => this.renew());
    for (const name of Object.keys(this.session.answer.sound)) this.player.setStem(name, { on: name !== "click" });
    this.show();
    gainControl(this, this.gainPlace);
  }

  tempoControl() {
    const slide = h("input", { type: "range", id: "speed", min: String(LEAST), max: String(MOST), value: "100", step: "1" });
    this.slide = slide;
    this.speed = h("output", { for: "speed", class: "speed" });
    slide.addEventListener("input", () => this.showSpeed());
    slide.addEventListener("change", () => (/** @type {Player} */ (this.player).percent = Number(slide.value)));
    return h("div", { class: "tempo" }, h("label", { for: "speed" }, "Tempo"), slide, this.speed);
  }

  showSpeed() {
    const percent = Number(this.slide?.value);
    const now = tempo((percent / 100) * this.session.view.tempo);
    /** @type {HTMLElement} */ (this.speed).textContent = `${now} · ${percent} %`;
    this.slide?.setAttribute("aria-valuetext", `${now}, ${percent} percent of show tempo`);
  }

  show() {
    const player = /** @type {Player} */ (this.player);
    const play = /** @type {HTMLElement} */ (this.play);
    play.textContent = player.waiting ? "Wait …" : player.playing ? "Stop" : "Play";
    this.classList.toggle("playing", player.playing);
    this.showStems(player.stems.map(({ name }) => name));
    if (this.slide && document.activeElement !== this.slide) this.slide.value = String(player.percent);
    this.showSpeed();
    this.showChoice();
  }

  /** The loop button tells what it will do with the bars that are chosen. */
  showChoice() {
    const player = this.player;
    if (!player) return;
    const { loop } = player;
    const { bars: chosen } = this.session.chosen;
    const looping = /** @type {HTMLButtonElement} */ (this.looping);
    looping.setAttribute("aria-pressed", String(loop !== null));
    looping.disabled = !loop && !chosen;
    if (loop) looping.textContent = `Looping ${"first" in loop ? bars(loop.first, loop.last) : "the passage"}`;
    else looping.textContent = chosen ? `Loop ${bars(chosen.first, chosen.last)}` : "Loop";
    looping.title = chosen || loop ? "" : "Choose bars in the strip or on the page first";
  }

  /** @param {string[]} names */
  showStems(names) {
    const key = names.join();
    const place = /** @type {HTMLElement} */ (this.stems);
    if (place.dataset.names === key) return;
    place.dataset.names = key;
    const on = new Map(this.player?.stems.map((stem) => [stem.name, stem.on]));
    fill(
      place,
      h("legend", { class: "hidden" }, "What sounds"),
      names.map((name) => {
        const box = h("input", { type: "checkbox", checked: on.get(name) ?? true, "data-keep": `stem-${name}` });
        box.addEventListener("change", () => this.player?.setStem(name, { on: box.checked }));
        return h("label", {}, box, h("span", {}, STEM_WORDS[/** @type {keyof typeof STEM_WORDS} */ (name)] ?? name));
      }),
    );
  }

  toggle() {
    void this.player?.toggle().catch(() => undefined); // told by "sw-silent"
  }

  toggleLoop() {
    const player = /** @type {Player} */ (this.player);
    player.loop = player.loop ? null : this.session.chosen.bars;
    this.showChoice();
  }

  get loops() {
    return this.player?.loop != null;
  }

  /** @param {number} time */
  seek(time) {
    this.player?.seek(time);
  }

  /** After an edit: the new sound is made behind it, and takes over in the middle of the playing. */
  renew() {
    const player = /** @type {Player} */ (this.player);
    player.view = /** @type {any} */ (this.session.view);
    const { loop } = player;
    const last = this.session.view.bars.at(-1)?.number ?? 0;
    if (loop && (!("last" in loop) || loop.last > last)) player.loop = null;
    void player.renew().catch(() => undefined);
    this.show();
  }

  /** @param {number | null} gain */
  setGain(gain) {
    this.gain = gain;
    void this.player?.renew().catch(() => undefined);
  }

  /** @param {number} percent @param {AbortSignal} signal */
  supply(percent, signal) {
    return api.sound(this.session.answer, percent, this.gain, signal);
  }

  /** @param {unknown} fault */
  refuse(fault) {
    if (fault instanceof api.Refused) say(fault.message, undefined, "refused");
  }
}

customElements.define("sw-hearing", Hearing);
