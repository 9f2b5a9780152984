// The form strip: every bar of the tune in a row, as map, scroll bar and loop selector.
//
// The map shows the whole tune at any width: sections over it, each bar filled by its load, hits as notches
// on its upper edge, breaks as open frames, answers as brackets at its foot, the arc as a line over all.
// Where its bars are too narrow for their chords, a row of wide bars under it follows along.

import { SwElement, h, s, sheet } from "./element.js";
import { cellAt, chordSize, drawBar, measureAnew, share, textWidth, writeBar } from "./form-bars.js";
import { barAt, barIndex, barsWords } from "./music.js";

/**
 * @typedef {import("./types.js").View} View
 * @typedef {import("./types.js").Bars} Bars
 * @typedef {import("./form-bars.js").Cell} Cell
 */

const LOOK = sheet(`
:host { position: relative; user-select: none; -webkit-user-select: none; }
.map { display: block; width: 100%; cursor: pointer; touch-action: pan-y pinch-zoom; border-radius: 3px; }
svg { display: block; overflow: visible; font-family: var(--sans); }
.rows { overflow-x: auto; overscroll-behavior-x: contain; scrollbar-width: none; margin-top: 5px; padding-bottom: 2px; cursor: pointer; }
.rows::-webkit-scrollbar { display: none; }
.name { fill: var(--ink); font-weight: 600; font-size: 12px; }
.cell { fill: var(--wash); stroke: none; }
.cell.break { fill: var(--paper); stroke: var(--edge); stroke-width: 1; stroke-dasharray: 3 2.4; }
.load { fill: var(--load); }
.load.hot { fill: var(--load-hot); }
.hit { stroke: var(--hot); }
.answer { fill: none; stroke: var(--hot); stroke-width: 1.5; }
.opens { stroke: var(--soft); stroke-width: 1.2; }
.arc { fill: none; stroke: var(--ink); stroke-width: 1.5; stroke-linejoin: round; }
.chord, .held, .count, .told { paint-order: stroke; stroke: var(--paper); stroke-width: 3px; stroke-linejoin: round; stroke-opacity: 0.8; }
.chord { fill: var(--ink); }
.held { fill: var(--soft); font-size: 13px; }
.count { fill: var(--ink); font-size: 10.5px; }
.told { fill: var(--hot); font-size: 10.5px; font-style: italic; }
.chosen { fill: var(--blue); fill-opacity: 0.1; }
.ends { fill: none; stroke: var(--blue); stroke-width: 2.5; }
.grip { fill: var(--blue); cursor: ew-resize; }
.window { fill: none; stroke: var(--soft); stroke-width: 1.2; }
.now { fill: var(--green); }
.now-line { stroke: var(--green); stroke-width: 2; }
.stands { fill: none; stroke: var(--focus); stroke-width: 2; visibility: hidden; }
.map:focus-visible .stands { visibility: visible; }
@media print { :host { display: none; } }
`);
const NAMES = 18; // room for the section names, CSS pixels
const MAP = 40;
const FOOT = 5;
const ROW = 54;
const WIDE = 86; // a bar in the row
const LEAST = 11; // a smaller chord is hard to read
const DRAG = 5;

export class FormStrip extends SwElement {
  /** @type {View|null} */ #view = null;
  /** @type {Bars|null} */ #selection = null;
  /** @type {number[]|null} */ #arc = null;
  /** @type {Cell[]} */ cells = [];
  /** @type {Cell[]} */ wide = [];
  #time = 0;
  #width = 0;
  #stands = 0; // the bar that the keyboard stands on
  #anchor = 0; // where a choice with shift began
  #held = 0; // until when a hand-scrolled row is left alone

  constructor() {
    super(LOOK);
    this.map = s("svg", {
      class: "map", role: "slider", tabindex: 0, "aria-label": "Form of the tune", "aria-orientation": "horizontal",
      "aria-describedby": "how",
    });
    this.row = s("svg", { "aria-hidden": "true" });
    this.rows = h("div", { class: "rows", tabindex: 0, role: "group", "aria-label": "The bars up close" }, this.row);
    const how = "Arrow keys go from bar to bar, with shift they choose bars to loop, Escape lets go of them.";
    this.root.append(this.map, this.rows, h("p", { id: "how", class: "unseen" }, how));
    this.marks = s("g");
    this.rowMarks = s("g");
    this.grips = { first: this.grip("first"), last: this.grip("last") };
    this.size = new ResizeObserver(() => this.clientWidth !== this.#width && this.draw());
    this.map.addEventListener("keydown", (event) => this.key(event));
    this.listen(this.map, () => this.cells);
    this.listen(this.row, () => this.wide);
    this.rows.addEventListener("scroll", () => this.showWindow());
    for (const name of ["pointerdown", "wheel"]) this.rows.addEventListener(name, () => (this.#held = performance.now() + 4000), { passive: true });
  }

  connectedCallback() {
    this.size.observe(this);
    document.fonts.addEventListener("loadingdone", this.drawAnew);
    this.draw();
  }

  disconnectedCallback() {
    this.size.disconnect();
    document.fonts.removeEventListener("loadingdone", this.drawAnew);
  }

  /** Words are as wide as their font, which may come late. */
  drawAnew = () => {
    measureAnew();
    this.draw();
  };

  get view() {
    return this.#view;
  }

  set view(view) {
    this.#view = view;
    this.draw();
  }

  /** A value from 0 to 1 for each bar, drawn as a line; by default the intensity of the view's arc. @returns {number[]|null} */
  get arc() {
    return this.#arc ?? this.#view?.arc?.curves?.intensity ?? null;
  }

  set arc(arc) {
    this.#arc = arc;
    this.draw();
  }

  get selection() {
    return this.#selection;
  }

  set selection(selection) {
    this.#selection = selection;
    this.show();
  }

  get time() {
    return this.#time;
  }

  set time(time) {
    this.#time = time;
    if (this.#view?.bars.length && document.activeElement !== this) this.#stands = barAt(this.#view, Math.max(0, time));
    this.showTime();
  }

  draw() {
    const view = this.#view;
    this.#width = this.clientWidth;
    if (!view || !this.#width) return;
    this.#stands = Math.min(this.#stands, Math.max(0, view.bars.length - 1));
    this.map.style.display = view.bars.length ? "" : "none";
    this.cells = share(view.bars, this.#width);
    const roomy = view.bars.every((bar, n) => chordSize(bar, this.cells[n].width) >= LEAST);
    this.rows.hidden = roomy || !view.bars.length;
    this.wide = share(view.bars, Math.max(this.#width, WIDE * view.bars.length));
    const height = NAMES + MAP + FOOT;
    this.map.setAttribute("viewBox", `0 0 ${this.#width} ${height}`);
    this.map.setAttribute("height", String(height));
    this.map.replaceChildren(
      ...this.sections(view),
      ...view.bars.map((bar, n) => drawBar(bar, this.cells[n], NAMES, MAP)),
      this.arcLine(this.cells, NAMES, MAP),
      ...(roomy ? view.bars.map((bar, n) => writeBar(bar, this.cells[n], NAMES, MAP)) : []),
      this.marks,
    );
    this.map.setAttribute("aria-valuemin", String(view.bars[0]?.number ?? 0));
    this.map.setAttribute("aria-valuemax", String(view.bars[view.bars.length - 1]?.number ?? 0));
    if (!this.rows.hidden) {
      const last = this.wide[this.wide.length - 1];
      this.row.setAttribute("width", String(last.x + last.width));
      this.row.setAttribute("height", String(ROW + FOOT));
      const bars = view.bars.map((bar, n) => drawBar(bar, this.wide[n], 0, ROW));
      const words = view.bars.map((bar, n) => writeBar(bar, this.wide[n], 0, ROW));
      this.row.replaceChildren(...bars, ...words, this.rowMarks, this.grips.first, this.grips.last);
    }
    this.show();
  }

  /** @param {View} view */
  *sections(view) {
    let free = 0;
    for (const [n, bar] of view.bars.entries()) {
      if (bar.section === null) continue;
      const { x } = this.cells[n];
      yield s("line", { class: "opens", x1: x + 0.6, x2: x + 0.6, y1: x < free ? NAMES : NAMES - 13, y2: NAMES + MAP });
      const wide = textWidth(bar.section, 12, 600);
      if (x + 4 < free || x + 4 + wide > this.#width) continue;
      yield s("text", { class: "name", x: x + 5, y: NAMES - 5 }, bar.section);
      free = x + 5 + wide + 8;
    }
  }

  /** @param {Cell[]} cells @param {number} top @param {number} height */
  arcLine(cells, top, height) {
    const arc = this.arc;
    if (!arc || arc.length !== cells.length || !arc.length) return s("g");
    const points = arc.map((value, n) => `${cells[n].x + cells[n].width / 2},${top + height - 2 - value * (height - 5)}`);
    return s("polyline", { class: "arc", points: points.join(" ") });
  }

  /** Selection, keyboard place, time. */
  show() {
    const view = this.#view;
    if (!view?.bars.length || !this.cells.length) return;
    this.nowMark = s("path", { class: "now" });
    this.window = s("rect", { class: "window", visibility: "hidden", rx: 2 });
    const stand = this.cells[this.#stands];
    const stands = s("rect", { class: "stands", x: stand.x + 1, y: NAMES, width: Math.max(3, stand.width - 2), height: MAP, rx: 2 });
    this.marks.replaceChildren(...this.chosen(this.cells, NAMES, MAP), this.window, this.nowMark, stands);
    this.rowNow = s("line", { class: "now-line", y1: 0, y2: ROW });
    const ends = this.chosenEnds(this.wide);
    this.grips.first.setAttribute("transform", `translate(${ends?.[0] ?? 0} 0)`);
    this.grips.last.setAttribute("transform", `translate(${ends?.[1] ?? 0} 0)`);
    for (const grip of Object.values(this.grips)) grip.setAttribute("visibility", ends ? "visible" : "hidden");
    this.rowMarks.replaceChildren(...this.chosen(this.wide, 0, ROW), this.rowNow);
    const bar = view.bars[this.#stands];
    this.map.setAttribute("aria-valuenow", String(bar.number));
    this.map.setAttribute("aria-valuetext", barWords(view, this.#stands, this.#selection));
    this.showTime();
    this.showWindow();
  }

  /** @param {Cell[]} cells @param {number} top @param {number} height */
  *chosen(cells, top, height) {
    const ends = this.chosenEnds(cells);
    if (!ends) return;
    const [left, right] = ends;
    yield s("rect", { class: "chosen", x: left, y: top, width: Math.max(0, right - left), height });
    yield s("path", { class: "ends", d: `M${left + 5} ${top}H${left}V${top + height}h5M${right - 5} ${top}H${right}v${height}h-5` });
  }

  /** Where the chosen bars begin and end. @param {Cell[]} cells @returns {[number, number]|null} */
  chosenEnds(cells) {
    if (!this.#view || !this.#selection) return null;
    const first = cells[barIndex(this.#view, this.#selection.first)];
    const last = cells[barIndex(this.#view, this.#selection.last)];
    return first && last ? [first.x + 1, last.x + last.width - 1] : null;
  }

  showTime() {
    const view = this.#view;
    if (!view?.bars.length || !this.nowMark || !this.rowNow) return;
    const time = Math.max(0, this.#time);
    const x = placeOf(view, this.cells, time);
    this.nowMark.setAttribute("d", `M${x - 1} ${NAMES}h2v${MAP}h-2zM${x - 5} ${NAMES - 1}h10l-5 7z`);
    if (this.rows.hidden) return;
    const far = placeOf(view, this.wide, time);
    this.rowNow.setAttribute("x1", String(far));
    this.rowNow.setAttribute("x2", String(far));
    const room = this.rows.clientWidth;
    const there = far - this.rows.scrollLeft;
    if (performance.now() > this.#held && (there < room * 0.1 || there > room * 0.75)) this.rows.scrollLeft = far - room * 0.25;
  }

  /** What part of the tune the row shows. */
  showWindow() {
    if (!this.window || this.rows.hidden || !this.wide.length) return;
    const last = this.wide[this.wide.length - 1];
    const whole = last.x + last.width;
    this.window.setAttribute("visibility", "visible");
    this.window.setAttribute("x", String((this.rows.scrollLeft / whole) * this.#width + 0.5));
    this.window.setAttribute("width", String(Math.min(1, this.rows.clientWidth / whole) * this.#width - 1));
    this.window.setAttribute("y", String(NAMES - 2.5));
    this.window.setAttribute("height", String(MAP + 5));
  }

  /** @param {SVGSVGElement} area @param {() => Cell[]} cells */
  listen(area, cells) {
    /** @type {{x: number, bar: number, moved: boolean}|null} */
    let press = null;
    const at = (/** @type {PointerEvent} */ event) => cellAt(cells(), event.clientX - area.getBoundingClientRect().left);
    const slides = (/** @type {PointerEvent} */ event) => event.pointerType === "mouse" || area === this.map;
    area.addEventListener("pointerdown", (event) => {
      if (event.button === 0 && this.#view?.bars.length) press = { x: event.clientX, bar: at(event), moved: false };
    });
    area.addEventListener("pointermove", (event) => {
      const view = this.#view;
      if (!view?.bars.length) return;
      if (!press) return this.send("sw-point", { bar: view.bars[at(event)].number, note: null });
      if (!press.moved && (Math.abs(event.clientX - press.x) < DRAG || !slides(event))) return;
      if (!press.moved) area.setPointerCapture(event.pointerId);
      press.moved = true;
      this.pick(press.bar, at(event));
    });
    area.addEventListener("pointerup", (event) => {
      if (press && !press.moved && Math.abs(event.clientX - press.x) < DRAG * 2) this.tap(at(event), event.shiftKey);
      press = null;
    });
    area.addEventListener("pointercancel", () => (press = null));
    area.addEventListener("pointerleave", () => press ?? this.send("sw-point", { bar: null, note: null }));
  }

  /** An end of the choice that can be pulled. @param {"first"|"last"} end */
  grip(end) {
    const field = s("rect", { x: -16, y: 0, width: 32, height: ROW, fill: "transparent" });
    const grip = s("g", { class: "grip", visibility: "hidden" }, field, s("circle", { cx: 0, cy: ROW / 2, r: 6 }));
    /** @type {number|null} the place of the other end */
    let other = null;
    // Browsers don't heed touch-action inside a drawing: so this says that the row is not to be scrolled.
    grip.addEventListener("touchstart", (event) => event.preventDefault(), { passive: false });
    grip.addEventListener("pointerdown", (event) => {
      event.stopPropagation();
      const fixed = this.#selection?.[end === "first" ? "last" : "first"];
      if (fixed === undefined || !this.#view) return;
      other = barIndex(this.#view, fixed);
      grip.setPointerCapture(event.pointerId);
    });
    grip.addEventListener("pointermove", (event) => {
      event.stopPropagation();
      if (other !== null) this.pick(other, cellAt(this.wide, event.clientX - this.row.getBoundingClientRect().left));
    });
    for (const name of ["pointerup", "pointercancel"]) {
      grip.addEventListener(name, (event) => {
        event.stopPropagation();
        other = null;
      });
    }
    return grip;
  }

  /** @param {number} index @param {boolean} stretch */
  tap(index, stretch) {
    const view = /** @type {View} */ (this.#view);
    if (stretch) return this.pick(this.#selection ? barIndex(view, this.#selection.first) : this.#stands, index);
    this.#stands = index;
    this.send("sw-seek", { time: view.bars[index].time });
    this.show();
  }

  /** Chooses bars by their places. @param {number} one @param {number} other */
  pick(one, other) {
    const { bars } = /** @type {View} */ (this.#view);
    const first = bars[Math.min(one, other)].number;
    const last = bars[Math.max(one, other)].number;
    if (this.#selection?.first === first && this.#selection.last === last) return;
    this.selection = { first, last };
    this.send("sw-choose-bars", { first, last });
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    const view = this.#view;
    if (!view?.bars.length || event.ctrlKey || event.metaKey || event.altKey) return;
    const last = view.bars.length - 1;
    /** @type {Record<string, number>} */
    const ways = {
      ArrowRight: this.#stands + 1, ArrowUp: this.#stands + 1, ArrowLeft: this.#stands - 1, ArrowDown: this.#stands - 1,
      PageDown: this.#stands + 4, PageUp: this.#stands - 4, Home: 0, End: last,
    };
    if (event.key === "Escape" && this.#selection) {
      this.selection = null;
      this.send("sw-choose-bars", { first: null, last: null });
    } else if (event.key === "Enter") {
      this.pick(this.#stands, this.#stands);
    } else if (event.key in ways) {
      const to = Math.min(last, Math.max(0, ways[event.key]));
      if (event.shiftKey) {
        if (!this.#selection) this.#anchor = this.#stands;
        this.pick(this.#anchor, to);
      } else this.#anchor = to;
      this.#stands = to;
      if (!event.shiftKey) this.send("sw-seek", { time: view.bars[to].time });
      this.show();
    } else return;
    event.preventDefault();
  }
}

/** @param {View} view @param {Cell[]} cells @param {number} time */
function placeOf(view, cells, time) {
  const n = barAt(view, time);
  const bar = view.bars[n];
  return cells[n].x + cells[n].width * Math.min(1, (time - bar.time) / bar.length);
}

/** @param {View} view @param {number} index @param {Bars|null} selection */
function barWords(view, index, selection) {
  const bar = view.bars[index];
  const section = [...view.sections].reverse().find((each) => each.first <= bar.number)?.name;
  const chords = bar.chords.map(({ text }) => text).join(", ") || "the chord before";
  const told = [`Bar ${bar.number}${section ? ` in ${section}` : ""}`, chords];
  if (bar.load) told.push(`load ${Math.round(100 * bar.load)} percent`);
  if (bar.hits.length) told.push(bar.hits.length > 1 ? `${bar.hits.length} hits` : "a hit");
  if (bar.break) told.push("break");
  if (bar.answer) told.push("answer");
  if (selection) told.push(`${barsWords(selection)} chosen`);
  return told.join("; ");
}

customElements.define("sw-form-strip", FormStrip);
