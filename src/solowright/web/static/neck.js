// The neck: what sounds now, what comes next, and where the hand is, with frets at their true distances.
//
// What sounds is a full dot with its finger, what comes next an open one; a chosen note is framed. Other
// places of a note may be offered (`places`) and taken. `view.left_handed` mirrors it.

import { SwElement, h, s, sheet } from "./element.js";
import { fretPlace, lastBefore, notesAfter, notesAt, signs } from "./music.js";

/**
 * @typedef {import("./types.js").View} View
 * @typedef {import("./types.js").Note} Note
 * @typedef {{string: number, fret: number, finger?: number|null, label?: string}} Place
 */

const LOOK = sheet(`
svg { display: block; width: 100%; max-width: 900px; height: auto; overflow: visible; font-family: var(--sans); }
.string { stroke: var(--soft); }
.fret { stroke: var(--rule); stroke-width: 1.2; }
.nut { stroke: var(--ink); stroke-width: 3; }
.inlay { fill: var(--line); }
.hand { fill: var(--band); }
.count, .open { fill: var(--soft); font-size: 11px; text-anchor: middle; }
.now circle { fill: var(--green); }
.now text { fill: var(--paper); }
.next circle { fill: var(--paper); stroke: var(--green); stroke-width: 1.6; stroke-dasharray: 3 2; }
.next text { fill: var(--ink); }
.chosen circle { fill: var(--ink); }
.chosen text { fill: var(--paper); }
.chosen rect { fill: none; stroke: var(--ink); stroke-width: 1.4; stroke-dasharray: 3 2; }
.place { cursor: pointer; outline: none; }
.place circle { fill: var(--paper); stroke: var(--blue); stroke-width: 2; }
.place text { fill: var(--blue); }
.place:hover circle, .place:focus-visible circle { fill: var(--band); }
.place:focus-visible circle { stroke: var(--focus); stroke-width: 3; }
.dot text { font-size: 11.5px; font-weight: 600; text-anchor: middle; }
`);
const ROW = 19; // between strings
const DOT = 8.4;
const TOP = 14;
const LEFT = 30; // room for open strings, before the nut
const FOOT = 16;
const LEAST_FRETS = 12;
const LONG = 900; // width of the drawing; wide screens show the whole neck, narrow ones what is used
const INLAYS = [3, 5, 7, 9, 12, 15, 17, 19, 21, 24];

export class Neck extends SwElement {
  /** @type {View|null} */ #view = null;
  /** @type {number|null} */ #note = null;
  /** @type {Place[]} */ #places = [];
  #time = 0;
  #shown = "";
  #long = LONG;

  constructor() {
    super(LOOK);
    this.board = s("g");
    this.hand = s("g");
    this.dots = s("g");
    this.offers = s("g");
    this.picture = s("svg", { role: "group", "aria-label": "Neck" }, this.hand, this.board, this.dots, this.offers);
    this.words = h("p", { class: "unseen", id: "words" });
    this.picture.setAttribute("aria-describedby", "words");
    this.root.append(this.picture, this.words);
    this.size = new ResizeObserver(() => this.draw());
  }

  connectedCallback() {
    this.size.observe(this);
  }

  disconnectedCallback() {
    this.size.disconnect();
  }

  get view() {
    return this.#view;
  }

  set view(view) {
    this.#view = view;
    this.draw();
  }

  get time() {
    return this.#time;
  }

  set time(time) {
    this.#time = time;
    this.show();
  }

  get note() {
    return this.#note;
  }

  /** A chosen note is shown in place of what sounds; null goes back to the music. */
  set note(note) {
    this.#note = note;
    this.show();
  }

  get places() {
    return this.#places;
  }

  /** Other places that may be taken: sends `sw-choose-place` with {place}, its number here. */
  set places(places) {
    this.#places = places;
    this.draw();
  }

  /** The last fret drawn, from the capo. */
  get top() {
    const view = this.#view;
    if (!view) return LEAST_FRETS;
    const whole = view.frets - view.capo;
    if (this.clientWidth >= 620 || !this.clientWidth) return whole;
    const used = [...view.notes.map(({ fret }) => fret), ...this.#places.map(({ fret }) => fret)];
    return Math.min(whole, Math.max(LEAST_FRETS, ...used) + 1);
  }

  /** Middle of a fret's field, where the finger is; open strings stand before the nut. @param {number} fret */
  x(fret) {
    const view = /** @type {View} */ (this.#view);
    const along = fret ? this.wire(fret) - Math.min(11, (this.wire(fret) - this.wire(fret - 1)) / 2) : LEFT - 14;
    return view.left_handed ? this.#long - along : along;
  }

  /** A fret from the nut, unmirrored. @param {number} fret */
  wire(fret) {
    const view = /** @type {View} */ (this.#view);
    return LEFT + (fretPlace(view, fret) / fretPlace(view, this.top)) * (this.#long - LEFT - 6);
  }

  /** @param {number} string */
  y(string) {
    return TOP + (string - 1) * ROW;
  }

  draw() {
    const view = this.#view;
    if (!view) return;
    this.#long = Math.max(340, Math.min(LONG, this.clientWidth || LONG));
    const strings = view.tuning.length;
    const bottom = this.y(strings);
    const turned = (/** @type {number} */ x) => (view.left_handed ? this.#long - x : x);
    this.picture.setAttribute("viewBox", `0 0 ${this.#long} ${bottom + TOP + FOOT}`);
    const marks = [];
    for (let fret = 1; fret <= this.top; fret += 1) {
      const x = turned(this.wire(fret));
      marks.push(s("line", { class: "fret", x1: x, x2: x, y1: this.y(1), y2: bottom }));
      if (!INLAYS.includes(fret + view.capo)) continue;
      const middle = turned((this.wire(fret) + this.wire(fret - 1)) / 2);
      marks.push(s("text", { class: "count", x: middle, y: bottom + TOP + 11 }, String(fret)));
      marks.unshift(s("circle", { class: "inlay", cx: middle, cy: (TOP + bottom) / 2, r: 4 }));
    }
    const nut = turned(LEFT);
    marks.push(s("line", { class: "nut", x1: nut, x2: nut, y1: this.y(1) - 1, y2: bottom + 1 }));
    for (let string = 1; string <= strings; string += 1) {
      const y = this.y(string);
      marks.push(s("line", { class: "string", x1: nut, x2: turned(this.#long), y1: y, y2: y, "stroke-width": 0.7 + 0.32 * (string - 1) }));
    }
    if (view.capo) marks.push(s("text", { class: "count", x: nut, y: bottom + TOP + 11 }, `capo ${view.capo}`));
    this.board.replaceChildren(...marks);
    this.offers.replaceChildren(...this.#places.map((place, n) => this.offer(place, n)));
    this.#shown = "";
    this.show();
  }

  show() {
    const view = this.#view;
    if (!view) return;
    const chosen = this.#note === null ? null : view.notes[this.#note];
    const now = chosen ? [] : notesAt(view, this.#time);
    const next = chosen ? [] : notesAfter(view, this.#time);
    const key = `${this.#note} ${now} ${next}`;
    if (key === this.#shown) return;
    this.#shown = key;
    const full = now.map((n) => view.notes[n]);
    const open = next.map((n) => view.notes[n]).filter((note) => !full.some((other) => other.string === note.string && other.fret === note.fret));
    this.showHand(chosen ?? full[0] ?? view.notes[lastBefore(view.notes, this.#time)] ?? open[0]);
    this.dots.replaceChildren(
      ...open.map((note) => this.dot(note, "next")),
      ...full.map((note) => this.dot(note, "now")),
      ...(chosen ? [this.dot(chosen, "chosen")] : []),
    );
    this.words.textContent = words(chosen ? [chosen] : full, open);
  }

  /** @param {Note|undefined} note */
  showHand(note) {
    if (!note?.position) return this.hand.replaceChildren();
    const view = /** @type {View} */ (this.#view);
    const strings = view.tuning.length;
    const stay = view.hand.find((each) => view.notes.indexOf(note) >= each.notes[0] && view.notes.indexOf(note) <= each.notes[1]);
    const [low, high] = stay?.reach ?? [note.position, note.position + 3];
    const left = this.wire(low - 1);
    const right = this.wire(Math.min(high, this.top));
    const x = view.left_handed ? this.#long - right : left;
    this.hand.replaceChildren(s("rect", { class: "hand", x, y: this.y(1) - 9, width: Math.max(1, right - left), height: ROW * (strings - 1) + 18, rx: 5 }));
  }

  /** @param {Place} note @param {string} kind */
  dot({ string, fret, finger }, kind) {
    const x = this.x(fret);
    const y = this.y(string);
    const said = finger ? String(finger) : fret ? "" : "0";
    return s("g", { class: `dot ${kind}` }, s("circle", { cx: x, cy: y, r: DOT }), s("text", { x, y: y + 4 }, said));
  }

  /** @param {Place} place @param {number} n */
  offer(place, n) {
    const label = place.label ?? `string ${place.string}, ${place.fret ? `fret ${place.fret}` : "open"}${place.finger ? `, finger ${place.finger}` : ""}`;
    const take = () => this.send("sw-choose-place", { place: n });
    const dot = this.dot(place, "place");
    dot.setAttribute("role", "button");
    dot.setAttribute("tabindex", "0");
    dot.prepend(s("title", {}, label), s("circle", { cx: this.x(place.fret), cy: this.y(place.string), r: 13, fill: "transparent", stroke: "none" }));
    dot.addEventListener("click", take);
    dot.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" && event.key !== " ") return;
      event.preventDefault();
      take();
    });
    return dot;
  }
}

/** @param {Note[]} full @param {Note[]} open */
function words(full, open) {
  const said = (/** @type {Note[]} */ notes) =>
    notes.map((note) => `${signs(note.name)} on string ${note.string} ${note.fret ? `fret ${note.fret}` : "open"}`).join(" and ");
  return [full.length ? `Now ${said(full)}.` : "", open.length ? `Next ${said(open)}.` : ""].filter(Boolean).join(" ");
}

customElements.define("sw-neck", Neck);
