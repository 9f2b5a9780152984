// The hand path of one system: drawn by `page.hand_path`, with a mark that goes with the music.

import { DRAWING_LOOK, SwElement, drawing, h, s, sheet } from "./element.js";
import { placeInSystem, timeInSystem } from "./music.js";

/**
 * @typedef {import("./types.js").View} View
 * @typedef {import("./types.js").System} System
 */

const LOOK = sheet(`
${DRAWING_LOOK}
.figure { position: relative; cursor: pointer; }
svg.over { position: absolute; inset: 0; width: 100%; height: 100%; overflow: visible; }
.now { stroke: var(--green); stroke-width: 1.1; }
.sounds circle { fill: none; stroke: var(--green); stroke-width: 1.5; }
.chosen circle { fill: none; stroke: var(--ink); stroke-width: 1.1; stroke-dasharray: 2.4 1.6; }
@media print { svg.over { display: none; } }
`);
const NEAR = 7; // points
const RING = 4.4; // points

export class HandPath extends SwElement {
  /** @type {View|null} */ view = null;
  /** @type {System|null} */ #system = null;
  /** @type {number|null} */ #note = null;
  #pointed = "null null";

  constructor() {
    super(LOOK);
    this.now = s("line", { class: "now", y1: 0, visibility: "hidden" });
    this.sounds = s("g", { class: "sounds" });
    this.chosen = s("g", { class: "chosen" });
    this.over = s("svg", { class: "over", "aria-hidden": "true" }, this.sounds, this.chosen, this.now);
  }

  get system() {
    return this.#system;
  }

  set system(system) {
    const same = system && this.#system?.hand.svg === system.hand.svg;
    this.#system = system;
    if (same) return;
    if (!system) {
      this.root.replaceChildren();
      return;
    }
    const figure = drawing(system.hand.svg);
    figure.classList.add("drawing");
    this.over.setAttribute("viewBox", `0 0 ${system.width} ${system.hand.height}`);
    this.now.setAttribute("y2", String(system.hand.height));
    const field = h("div", { class: "figure" }, figure, this.over);
    field.addEventListener("pointerup", (event) => this.press(event));
    field.addEventListener("pointermove", (event) => this.pointAt(event));
    field.addEventListener("pointerleave", () => this.tellPoint(null, null));
    this.root.replaceChildren(field);
    this.note = this.#note;
  }

  get note() {
    return this.#note;
  }

  set note(note) {
    this.#note = note;
    this.chosen.replaceChildren(...this.rings(note === null ? [] : [note], RING + 1.4));
  }

  set time(/** @type {number} */ time) {
    this.show(time, []);
  }

  /** @param {number|null} time @param {number[]} sounding  places in the view's notes */
  show(time, sounding) {
    const x = time === null || !this.#system ? null : placeInSystem(this.#system, time);
    this.now.setAttribute("visibility", x === null ? "hidden" : "visible");
    if (x !== null) {
      this.now.setAttribute("x1", String(x));
      this.now.setAttribute("x2", String(x));
    }
    const key = x === null ? "" : sounding.join();
    if (key === (this.sounds.getAttribute("data-notes") ?? "")) return;
    this.sounds.setAttribute("data-notes", key);
    this.sounds.replaceChildren(...this.rings(x === null ? [] : sounding, RING));
  }

  /** @param {number[]} notes @param {number} radius */
  rings(notes, radius) {
    const dots = this.#system?.hand.dots ?? [];
    return dots.filter(([note]) => notes.includes(note)).map(([, x, y]) => s("circle", { cx: x, cy: y, r: radius }));
  }

  /** What a pointer means: where it is in points, and the nearest dot. @param {PointerEvent} event */
  meant(event) {
    const system = /** @type {System} */ (this.#system);
    const box = this.over.getBoundingClientRect();
    const unit = system.width / box.width;
    const x = (event.clientX - box.left) * unit;
    const y = (event.clientY - box.top) * unit;
    let best = NEAR;
    let found = null;
    for (const [note, left, top] of system.hand.dots) {
      const away = Math.hypot(left - x, top - y);
      if (away < best) [best, found] = [away, note];
    }
    return { x, note: found };
  }

  /** @param {PointerEvent} event */
  press(event) {
    if (!this.#system || event.button !== 0) return;
    const { x, note } = this.meant(event);
    if (note === null) this.send("sw-seek", { time: timeInSystem(this.#system, x) });
    else this.send("sw-choose-note", { note });
  }

  /** @param {PointerEvent} event */
  pointAt(event) {
    if (!this.#system) return;
    const { x, note } = this.meant(event);
    this.tellPoint(this.#system.bars.find(([, left, right]) => x >= left && x <= right)?.[0] ?? null, note);
  }

  /** @param {number|null} bar @param {number|null} note */
  tellPoint(bar, note) {
    const key = `${bar} ${note}`;
    if (key === this.#pointed) return;
    this.#pointed = key;
    this.send("sw-point", { bar, note });
  }
}

customElements.define("sw-hand-path", HandPath);
