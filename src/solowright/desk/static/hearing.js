// The foot of the desk: play, loop, tempo, stems, count-in, and the gain at which slurs speak.

import "/static/web/player.js";
import * as api from "./api.js";
import { button, fill, h } from "./dom.js";
import { gainControl } from "./gain.js";
import { say } from "./say.js";
import { bars, percentAt, tempo } from "./words.js";

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
  stale = false; // the sound that the player holds is of an earlier line or gain

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
    this.knowStems();
    this.show();
    gainControl(this, this.gainPlace);
  }

  tempoControl() {
    const slide = h("input", { type: "range", id: "speed", min: String(LEAST), max: String(MOST), value: "100", step: "1" });
    this.slide = slide;
    this.quarters = tempoField("Quarter notes a minute", (typed) => this.setPercent(percentAt(typed, this.session.view.tempo)));
    this.percent = tempoField("Percent of the tempo", (typed) => this.setPercent(typed));
    slide.addEventListener("input", () => this.showSpeed(Number(slide.value)));
    slide.addEventListener("change", () => this.setPercent(Number(slide.value)));
    return h(
      "div",
      { class: "tempo" },
      h("label", { for: "speed" }, "Tempo"),
      slide,
      this.quarters,
      h("span", { "aria-hidden": "true" }, "a minute"),
      this.percent,
      h("span", { "aria-hidden": "true" }, "%"),
    );
  }

  /** What is out of reach is brought to the nearest tempo there is. @param {number} wanted */
  setPercent(wanted) {
    const player = /** @type {Player} */ (this.player);
    player.percent = Math.min(Math.max(wanted, LEAST), MOST);
    this.showSpeed(player.percent);
    if (wanted === player.percent) return;
    const [low, high] = [LEAST, MOST].map((percent) => tempo((percent / 100) * this.session.view.tempo));
    say(`Tempos go from ${low} to ${high} a minute here, ${LEAST} to ${MOST} percent of the show tempo.`);
  }

  /** @param {number} percent */
  showSpeed(percent) {
    const now = (percent / 100) * this.session.view.tempo;
    /** @type {HTMLInputElement} */ (this.quarters).value = tenths(now);
    /** @type {HTMLInputElement} */ (this.percent).value = tenths(percent);
    this.slide?.setAttribute("aria-valuetext", `${tempo(now)}, ${tenths(percent)} percent of show tempo`);
  }

  show() {
    const player = /** @type {Player} */ (this.player);
    const play = /** @type {HTMLElement} */ (this.play);
    play.textContent = player.waiting ? "Wait …" : player.playing ? "Stop" : "Play";
    this.classList.toggle("playing", player.playing);
    this.showStems(player.stems.map(({ name }) => name));
    if (this.slide && document.activeElement !== this.slide) this.slide.value = String(player.percent);
    if (!(document.activeElement instanceof HTMLInputElement && this.querySelector(".tempo")?.contains(document.activeElement))) {
      this.showSpeed(player.percent);
    }
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

  /** Plays or stops; what an edit has made stale is fetched first. */
  async toggle() {
    const player = /** @type {Player} */ (this.player);
    try {
      if (this.stale && !player.playing) {
        /** @type {HTMLElement} */ (this.play).textContent = "Wait …";
        this.stale = false;
        await player.renew();
      }
      await player.toggle();
    } catch {
      this.stale = true; // why is told by "sw-silent"
      this.show();
    }
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

  /** Parts that the tune has got since are heard too; the click only where it is asked for. */
  knowStems() {
    const player = /** @type {Player} */ (this.player);
    const known = player.stems.map(({ name }) => name);
    for (const name of Object.keys(this.session.answer.sound)) {
      if (!known.includes(name)) player.setStem(name, { on: name !== "click" });
    }
  }

  /** After an edit: the new sound is made behind it, and takes over in the middle of the playing. */
  renew() {
    const player = /** @type {Player} */ (this.player);
    player.view = /** @type {any} */ (this.session.view);
    const { loop } = player;
    const last = this.session.view.bars.at(-1)?.number ?? 0;
    if (loop && (!("last" in loop) || loop.last > last)) player.loop = null;
    this.knowStems();
    this.refresh();
    this.show();
  }

  /** What sounds is exchanged at once; what is silent only when it is to sound again. */
  refresh() {
    const player = /** @type {Player} */ (this.player);
    if (player.playing || player.waiting) void player.renew().catch(() => undefined);
    else this.stale = true;
  }

  /** @param {number | null} gain */
  setGain(gain) {
    this.gain = gain;
    this.refresh();
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

/** A tempo to be typed. @param {string} name @param {(typed: number) => void} take */
function tempoField(name, take) {
  const field = h("input", { type: "text", inputMode: "decimal", class: "speed", autocomplete: "off", "aria-label": name });
  field.addEventListener("focus", () => field.select());
  field.addEventListener("change", () => take(Number(field.value.replace(",", ".")) || 0));
  return field;
}

/** @param {number} number */
const tenths = (number) => String(Math.round(number * 10) / 10);

customElements.define("sw-hearing", Hearing);
