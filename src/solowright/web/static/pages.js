// The page: systems of notation over tablature, the hand path under each, with what is chosen and what sounds.
//
// Drawings come from `page.engrave`; what moves lies in a second drawing over each, in the same points.
// Systems are built when they come near, so that a long tune opens as fast as a short one.

import { DRAWING_LOOK, SwElement, drawing, h, s, sheet } from "./element.js";
import { HandPath } from "./hand-path.js";
import { barAt, barIndex, noteWords, notesAt, placeInSystem, timeInSystem } from "./music.js";

/**
 * @typedef {import("./types.js").View} View
 * @typedef {import("./types.js").System} System
 * @typedef {import("./types.js").Bars} Bars
 * @typedef {import("./types.js").Box} Box
 */

const LOOK = sheet(`
${DRAWING_LOOK}
:host { --gap: 1.75rem; }
.system { position: relative; margin: 0 auto var(--gap); max-width: 68rem; break-inside: avoid; scroll-margin: 7rem 0 30vh; }
.staff { position: relative; cursor: pointer; touch-action: pan-y pinch-zoom; }
svg.over { position: absolute; inset: 0; width: 100%; height: 100%; overflow: visible; }
.bar-now { fill: var(--green-wash); opacity: 0; }
.bars-chosen { fill: none; stroke: var(--blue); stroke-width: 1.4; }
.bars-chosen.wash { fill: var(--blue); fill-opacity: 0.07; stroke: none; }
.under { position: absolute; inset: 0; width: 100%; height: 100%; overflow: visible; }
.now { stroke: var(--green); stroke-width: 1.1; }
.sounds rect { fill: none; stroke: var(--green); stroke-width: 1.3; }
.note { outline: none; }
.note rect { fill: transparent; stroke: none; }
.note[aria-selected="true"] rect { stroke: var(--ink); stroke-width: 1.1; stroke-dasharray: 2.4 1.6; }
.note:focus-visible rect { stroke: var(--focus); stroke-width: 1.8; stroke-dasharray: none; }
.staff svg.drawing { position: relative; pointer-events: none; }
.none { color: var(--soft); padding: 2rem 0; text-align: center; }
@media print { svg.over, .under { display: none; } .system { max-width: none; } }
`);
const NARROW = 560; // CSS pixels: below, the narrow systems are shown where there are any
const NEAR = 14; // points: a note is meant by a press this near to it
const DRAG = 8; // CSS pixels: further is a choice of bars

/** One system on the page. */
class Part {
  /** @param {System} system @param {Pages} pages */
  constructor(system, pages) {
    this.system = system;
    this.pages = pages;
    this.element = h("div", { class: "system", "data-first": system.first });
    this.element.style.aspectRatio = `${system.width} / ${system.height + system.hand.height + 6}`;
    this.built = false;
  }

  build() {
    if (this.built) return;
    this.built = true;
    const { width, height } = this.system;
    const box = `0 0 ${width} ${height}`;
    const print = drawing(this.system.svg);
    print.classList.add("drawing");
    this.wash = s("g");
    this.barNow = s("rect", { class: "bar-now", y: 0, height, width: 0, x: 0 });
    this.sounds = s("g", { class: "sounds" });
    this.now = s("line", { class: "now", y1: 0, y2: height, visibility: "hidden" });
    this.ring = s("g");
    this.notes = s("g", { role: "listbox", "aria-label": `Notes, ${print.getAttribute("aria-label")}`, "aria-orientation": "horizontal" });
    const under = s("svg", { class: "under", viewBox: box, "aria-hidden": "true" }, this.barNow, this.wash);
    const over = s("svg", { class: "over", viewBox: box }, this.sounds, this.now, this.ring, this.notes);
    this.staff = h("div", { class: "staff" }, under, print, over);
    this.hand = new HandPath();
    this.element.style.aspectRatio = "";
    this.element.append(this.staff, this.hand);
    this.listen(this.staff);
    this.fill();
    this.showTime(null, []);
  }

  /** Takes the same drawing with other facts about its notes and its time. @param {System} system */
  renew(system) {
    this.system = system;
    if (this.built) this.fill();
  }

  fill() {
    if (!this.notes || !this.hand) return;
    const held = this.notes.contains(this.pages.root.activeElement);
    this.notes.replaceChildren(...this.system.notes.map((place) => this.option(place)));
    this.hand.view = this.pages.view;
    this.hand.system = this.system;
    this.showChoice();
    const again = held ? this.notes.querySelector(`[data-note="${this.pages.walking}"]`) : null;
    if (again instanceof SVGElement) again.focus({ preventScroll: true });
  }

  /** @param {import("./types.js").NotePlace} place */
  option(place) {
    const note = /** @type {View} */ (this.pages.view).notes[place.note];
    const boxes = place.fret ? [place.head, place.fret] : [place.head];
    return s(
      "g",
      { class: "note", role: "option", tabindex: -1, "data-note": place.note, "aria-label": noteWords(note), "aria-selected": "false" },
      boxes.map((box) => frame(box, 2.2)),
    );
  }

  showChoice() {
    if (!this.built || !this.ring || !this.notes || !this.wash) return;
    const { selection, note } = this.pages;
    const chosen = this.system.bars.filter(([bar]) => selection && bar >= selection.first && bar <= selection.last);
    this.wash.replaceChildren();
    this.ring.replaceChildren();
    if (chosen.length && selection) {
      const left = chosen[0][1] + 1;
      const right = chosen[chosen.length - 1][2] - 1;
      const { height } = this.system;
      this.wash.append(s("rect", { class: "bars-chosen wash", x: left, y: 0, width: right - left, height }));
      if (chosen[0][0] === selection.first) this.ring.append(bracket(left, 1, height));
      if (chosen[chosen.length - 1][0] === selection.last) this.ring.append(bracket(right, -1, height));
    }
    for (const option of this.notes.children) {
      const mine = Number(option.getAttribute("data-note"));
      option.setAttribute("aria-selected", String(mine === note));
      option.setAttribute("tabindex", mine === this.pages.walking ? "0" : "-1");
    }
    if (this.hand) this.hand.note = note;
  }

  /** @param {number|null} time @param {number[]} sounding */
  showTime(time, sounding) {
    if (!this.built || !this.now || !this.barNow || !this.sounds) return;
    const x = time === null ? null : placeInSystem(this.system, time);
    this.now.setAttribute("visibility", x === null ? "hidden" : "visible");
    if (x !== null) {
      this.now.setAttribute("x1", String(x));
      this.now.setAttribute("x2", String(x));
    }
    const view = this.pages.view;
    const number = x === null || time === null || !view ? null : view.bars[barAt(view, time)].number;
    const bar = this.system.bars.find(([each]) => each === number);
    this.barNow.style.opacity = bar ? "1" : "0";
    if (bar) {
      this.barNow.setAttribute("x", String(bar[1]));
      this.barNow.setAttribute("width", String(bar[2] - bar[1]));
    }
    const key = x === null ? "" : sounding.join();
    if (this.sounds.getAttribute("data-notes") !== key) {
      this.sounds.setAttribute("data-notes", key);
      const places = this.system.notes.filter((place) => x !== null && sounding.includes(place.note));
      this.sounds.replaceChildren(...places.flatMap(({ head, fret }) => (fret ? [frame(head, 2.4), frame(fret, 2.2)] : [frame(head, 2.4)])));
    }
    if (this.hand) this.hand.show(x === null ? null : time, sounding);
  }

  /** @param {HTMLElement} staff */
  listen(staff) {
    /** @type {{x: number, bar: number|null, moved: boolean}|null} */
    let press = null;
    staff.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      press = { x: event.clientX, bar: this.barAtPoint(event), moved: false };
    });
    staff.addEventListener("pointermove", (event) => {
      if (!press) return this.pages.pointAt(this.barAtPoint(event), this.noteAtPoint(event));
      if (event.pointerType !== "mouse" || Math.abs(event.clientX - press.x) < DRAG) return;
      if (!press.moved) staff.setPointerCapture(event.pointerId);
      press.moved = true;
      const bar = this.barAtPoint(event);
      if (bar !== null && press.bar !== null) this.pages.chooseBars(press.bar, bar);
    });
    staff.addEventListener("pointerleave", () => press ?? this.pages.pointAt(null, null));
    staff.addEventListener("pointercancel", () => (press = null));
    staff.addEventListener("pointerup", (event) => {
      const was = press;
      press = null;
      if (!was || was.moved || Math.abs(event.clientX - was.x) >= DRAG) return;
      const note = this.noteAtPoint(event);
      if (note !== null) this.pages.chooseNote(note, false);
      else if (event.shiftKey && was.bar !== null) this.pages.stretchBars(was.bar);
      else this.pages.send("sw-seek", { time: timeInSystem(this.system, this.pointIn(event).x) });
    });
  }

  /** @param {PointerEvent} event  in points of the system */
  pointIn(event) {
    const box = /** @type {HTMLElement} */ (this.staff).getBoundingClientRect();
    const unit = this.system.width / box.width;
    return { x: (event.clientX - box.left) * unit, y: (event.clientY - box.top) * unit };
  }

  /** @param {PointerEvent} event */
  barAtPoint(event) {
    const { x } = this.pointIn(event);
    return this.system.bars.find(([, left, right]) => x >= left && x <= right)?.[0] ?? null;
  }

  /** The nearest note, head or fret. @param {PointerEvent} event */
  noteAtPoint(event) {
    const point = this.pointIn(event);
    let best = NEAR;
    let found = null;
    for (const place of this.system.notes) {
      for (const box of place.fret ? [place.head, place.fret] : [place.head]) {
        const across = Math.max(box[0] - point.x, 0, point.x - box[2]);
        const down = Math.max(box[1] - point.y, 0, point.y - box[3]);
        const away = Math.hypot(across, down);
        if (away < best) [best, found] = [away, place.note];
      }
    }
    return found;
  }
}

/** @param {Box} box @param {number} air */
function frame([left, top, right, bottom], air) {
  return s("rect", { x: left - air, y: top - air, width: right - left + 2 * air, height: bottom - top + 2 * air, rx: 2 });
}

/** @param {number} x @param {number} way @param {number} height */
const bracket = (x, way, height) => s("path", { class: "bars-chosen", d: `M${x + 5 * way} 0.7H${x}V${height - 0.7}H${x + 5 * way}` });

export class Pages extends SwElement {
  /** @type {View|null} */ #view = null;
  /** @type {Bars|null} */ #selection = null;
  /** @type {number|null} */ #note = null;
  /** @type {number|null} */ #time = null;
  /** @type {Part[]} */ parts = [];
  /** The note that the keyboard stands on. @type {number} */ walking = 0;
  /** Whether the page follows the music. */ playing = false;
  #pointed = "";
  #lastPart = -1;

  constructor() {
    super(LOOK);
    this.near = new IntersectionObserver(
      (entries) => entries.forEach((entry) => entry.isIntersecting && this.partOf(entry.target)?.build()),
      { rootMargin: "900px 0px" },
    );
    this.size = new ResizeObserver(() => this.choose());
    this.addEventListener("keydown", (event) => this.key(event));
    this.root.addEventListener("focusin", (event) => this.focused(/** @type {FocusEvent} */ (event)));
  }

  connectedCallback() {
    this.size.observe(this);
    window.addEventListener("beforeprint", this.buildAll);
  }

  disconnectedCallback() {
    this.size.disconnect();
    window.removeEventListener("beforeprint", this.buildAll);
  }

  buildAll = () => this.parts.forEach((part) => part.build());

  get view() {
    return this.#view;
  }

  /** Systems that are drawn as before stay as they are. */
  set view(view) {
    this.#view = view;
    this.walking = Math.min(this.walking, Math.max(0, (view?.notes.length ?? 1) - 1));
    this.lay();
  }

  get selection() {
    return this.#selection;
  }

  set selection(selection) {
    this.#selection = selection;
    for (const part of this.parts) part.showChoice();
  }

  get note() {
    return this.#note;
  }

  set note(note) {
    this.#note = note;
    if (note !== null) this.walkTo(note);
    for (const part of this.parts) part.showChoice();
  }

  get time() {
    return this.#time ?? 0;
  }

  set time(time) {
    this.#time = time;
    const sounding = this.#view ? notesAt(this.#view, time) : [];
    let now = -1;
    this.parts.forEach((part, n) => {
      if (placeInSystem(part.system, time) !== null) now = n;
      part.showTime(time, sounding);
    });
    if (this.playing && now >= 0 && now !== this.#lastPart) this.bringIn(now);
    this.#lastPart = now;
  }

  /** Shows wide or narrow systems, as there is room. */
  choose() {
    const narrow = this.clientWidth < NARROW && Boolean(this.#view?.narrow?.length);
    if (narrow !== this.narrow) this.lay();
  }

  lay() {
    const view = this.#view;
    this.narrow = this.clientWidth > 0 && this.clientWidth < NARROW && Boolean(view?.narrow?.length);
    const systems = (this.narrow ? view?.narrow : view?.systems) ?? [];
    const before = new Map(this.parts.map((part) => [part.system.first, part]));
    this.near.disconnect();
    const old = this.parts;
    this.parts = systems.map((system) => {
      const kept = before.get(system.first);
      if (!kept || !sameDrawing(kept.system, system)) return new Part(system, this);
      kept.renew(system);
      return kept;
    });
    const same = old.length === this.parts.length && old.every((part, n) => part === this.parts[n]);
    if (!same || !systems.length) {
      const none = h("p", { class: "none" }, "There are no bars yet.");
      this.root.replaceChildren(...(systems.length ? this.parts.map((part) => part.element) : [none]));
    }
    this.parts.forEach((part) => this.near.observe(part.element));
    for (const part of this.parts) part.showChoice();
    if (this.#time !== null) this.time = this.#time;
  }

  /** @param {Element} element */
  partOf(element) {
    return this.parts.find((part) => part.element === element);
  }

  /** @param {number} n */
  bringIn(n) {
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    const box = this.parts[n].element.getBoundingClientRect();
    if (box.top >= 90 && box.bottom <= innerHeight - 90) return;
    this.parts[n].element.scrollIntoView({ block: "start", behavior: still ? "auto" : "smooth" });
  }

  /** Puts the keyboard's place on a note, in a system that is there. @param {number} note */
  walkTo(note) {
    this.walking = note;
    const part = this.parts.find((each) => each.system.notes.some((place) => place.note === note));
    part?.build();
    return part;
  }

  /** Chooses a note, and with the keyboard goes to it. @param {number} note @param {boolean} go */
  chooseNote(note, go) {
    this.note = note;
    if (go) {
      const part = this.walkTo(note);
      const option = part?.element.querySelector(`[data-note="${note}"]`);
      if (option instanceof SVGElement) {
        option.focus({ preventScroll: true });
        part?.element.scrollIntoView({ block: "nearest" });
      }
    }
    this.send("sw-choose-note", { note });
  }

  /** @param {number} one @param {number} other */
  chooseBars(one, other) {
    const first = Math.min(one, other);
    const last = Math.max(one, other);
    if (this.#selection?.first === first && this.#selection.last === last) return;
    this.selection = { first, last };
    this.send("sw-choose-bars", { first, last });
  }

  /** @param {number} bar */
  stretchBars(bar) {
    const { first, last } = this.#selection ?? { first: bar, last: bar };
    this.chooseBars(Math.min(first, bar), Math.max(last, bar));
  }

  /** @param {number|null} bar @param {number|null} note */
  pointAt(bar, note) {
    const key = `${bar} ${note}`;
    if (key === this.#pointed) return;
    this.#pointed = key;
    this.send("sw-point", { bar, note });
  }

  /** @param {FocusEvent} event */
  focused(event) {
    const option = event.target instanceof Element ? event.target.closest("[data-note]") : null;
    if (option) this.walking = Number(option.getAttribute("data-note"));
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    const view = this.#view;
    if (!view || event.ctrlKey || event.metaKey || event.altKey || !view.notes.length) return;
    const last = view.notes.length - 1;
    const bar = barIndex(view, view.notes[this.walking].bar);
    /** @type {Record<string, () => number|null>} */
    const ways = {
      ArrowRight: () => Math.min(last, this.walking + 1),
      ArrowLeft: () => Math.max(0, this.walking - 1),
      ArrowDown: () => this.firstIn(bar + 1, 1) ?? last,
      ArrowUp: () => this.firstIn(bar - 1, -1) ?? 0,
      Home: () => 0,
      End: () => last,
      Enter: () => this.walking,
      Escape: () => null,
    };
    const way = ways[event.key];
    if (!way || (event.shiftKey && event.key !== "Enter")) return;
    event.preventDefault();
    const to = way();
    if (to !== null) return this.chooseNote(to, true);
    this.note = null;
    this.send("sw-choose-note", { note: null });
  }

  /** The first note of the bar at `index`, or of the next with notes that way. @param {number} index @param {number} way */
  firstIn(index, way) {
    const view = /** @type {View} */ (this.#view);
    for (let n = index; n >= 0 && n < view.bars.length; n += way) {
      const found = view.notes.findIndex((note) => note.bar === view.bars[n].number);
      if (found >= 0) return found;
    }
    return null;
  }
}

/** @param {System} one @param {System} other */
const sameDrawing = (one, other) => one.svg === other.svg && one.hand.svg === other.hand.svg;

customElements.define("sw-pages", Pages);
