// The reasons for the note or bar under the pointer, or for what is chosen, or for where the music is.

import { SwElement, h, sheet } from "./element.js";
import { barAt, barIndex, beatText, lastBefore, signs, warmth } from "./music.js";

/**
 * @typedef {import("./types.js").View} View
 * @typedef {import("./types.js").Bar} Bar
 * @typedef {import("./types.js").Note} Note
 * @typedef {{bar: number|null, note: number|null}} Point
 */

const LOOK = sheet(`
:host { font-size: var(--text-2); line-height: 1.45; }
h3 { margin: 0 0 0.35rem; font: 400 var(--text-4)/1.25 var(--serif); }
p { margin: 0 0 0.5rem; }
.facts { color: var(--soft); }
.told { font-family: var(--serif); font-size: var(--text-3); max-width: 38rem; }
.or { color: var(--soft); padding-left: 1rem; border-left: 2px solid var(--line); }
.hot { color: var(--hot); font-weight: 600; }
.warm { color: var(--warm); font-weight: 600; }
`);

export class Reasons extends SwElement {
  /** @type {View|null} */ #view = null;
  /** @type {Point} */ #point = { bar: null, note: null };
  /** @type {number|null} */ #note = null;
  #time = 0;
  #shown = "";

  constructor() {
    super(LOOK);
    this.body = h("div", { "aria-live": "off" });
    this.root.append(this.body);
  }

  get view() {
    return this.#view;
  }

  set view(view) {
    this.#view = view;
    this.#shown = "";
    this.show();
  }

  /** What the pointer is over. */
  get point() {
    return this.#point;
  }

  set point(point) {
    this.#point = point;
    this.show();
  }

  /** The chosen note. */
  get note() {
    return this.#note;
  }

  set note(note) {
    this.#note = note;
    this.body.setAttribute("aria-live", note === null ? "off" : "polite");
    this.show();
  }

  get time() {
    return this.#time;
  }

  set time(time) {
    this.#time = time;
    this.show();
  }

  show() {
    const view = this.#view;
    if (!view?.bars.length) return this.body.replaceChildren();
    const note = this.#point.note ?? (this.#point.bar === null ? this.#note : null);
    const number = this.#point.bar ?? view.bars[barAt(view, this.#time)].number;
    const key = note === null ? `bar ${number}` : `note ${note}`;
    if (key === this.#shown) return;
    this.#shown = key;
    this.body.replaceChildren(...(note === null ? aboutBar(view, number) : aboutNote(view, note)));
  }
}

/** @param {View} view @param {number} index */
function* aboutNote(view, index) {
  const note = view.notes[index];
  yield h("h3", {}, `${signs(note.name)}, bar ${note.bar} beat ${beatText(note.beat)}`);
  const role = note.role ? [note.degree ? `${signs(note.degree)} of ${signs(note.chord)}` : "", note.role.replace("-", " ")] : [];
  const where = note.fret ? `string ${note.string}, fret ${note.fret}` : `string ${note.string}, open`;
  yield h("p", { class: "facts" }, [...role, where, note.finger ? `finger ${note.finger}` : ""].filter(Boolean).join(" · "));
  yield* shiftInto(view, index);
  const target = view.targets.find((each) => each.note === index);
  if (target) yield h("p", { class: "facts" }, `A target: ${target.approach}.`);
  const devices = view.devices.filter((device) => device.notes.includes(index));
  yield* tellings(devices);
  const { time } = note;
  const told = new Set(devices.map((device) => device.sentence));
  for (const { text, start, end } of view.sentences) if (start <= time + 1e-6 && time < end + 1e-6 && !told.has(text)) yield h("p", { class: "told" }, text);
}

/** @param {View} view @param {number} index */
function* shiftInto(view, index) {
  const shift = view.shifts.find((each) => each.note === index);
  if (!shift) return;
  const words = `The hand goes ${Math.round(shift.mm)} mm in ${shift.ms} ms, from fret ${shift.from_fret} to ${shift.to_fret}`;
  yield h("p", { class: warmth(shift.load) === "calm" ? "facts" : warmth(shift.load) }, `${words}: ${Math.round(100 * shift.load)} % of what it can.`);
}

/** @param {import("./types.js").Device[]} devices */
function* tellings(devices) {
  for (const device of devices) {
    yield h("p", { class: "told" }, device.sentence || device.short);
    for (const other of device.runner_up) yield h("p", { class: "or" }, `Or: ${other.sentence || other.short}`);
  }
}

/** @param {View} view @param {number} number */
function* aboutBar(view, number) {
  const bar = view.bars[barIndex(view, number)];
  if (!bar) return;
  const end = bar.time + bar.length;
  const section = [...view.sections].reverse().find((each) => each.first <= number);
  yield h("h3", {}, `Bar ${number}${section?.name ? `, ${section.name}` : ""}`);
  yield h("p", { class: "facts" }, barFacts(view, bar));
  if (view.crux?.bar === number) yield h("p", { class: warmth(view.crux.load) }, `Hardest here, beat ${beatText(view.crux.beat)}: ${view.crux.why}.`);
  const devices = view.devices.filter((device) => device.start < end - 1e-6 && device.end > bar.time + 1e-6);
  const told = new Set(devices.map((device) => device.sentence));
  yield* tellings(devices);
  for (const { text, start, end: stop } of view.sentences) {
    if (start < end - 1e-6 && (stop > bar.time + 1e-6 || start >= bar.time - 1e-6) && !told.has(text)) yield h("p", { class: "told" }, text);
  }
}

/** @param {View} view @param {Bar} bar */
function barFacts(view, bar) {
  const before = view.bars.slice(0, barIndex(view, bar.number)).reverse().find((each) => each.chords.length);
  const chords = bar.chords.map(({ text }) => text).join(" ") || before?.chords[before.chords.length - 1].text || "";
  const notes = lastBefore(view.notes, bar.time + bar.length - 1e-4) - lastBefore(view.notes, bar.time - 1e-4);
  const facts = [chords, notes === 1 ? "1 note" : `${notes} notes`];
  if (bar.load) facts.push(`load ${Math.round(100 * bar.load)} %`);
  if (bar.break) facts.push("break");
  if (bar.hits.length) facts.push(`hits on ${bar.hits.map(beatText).join(", ")}`);
  if (bar.answer) facts.push(bar.answer.length ? `answer on ${bar.answer.map(beatText).join(", ")}` : "answer");
  return facts.filter(Boolean).join(" · ");
}

customElements.define("sw-reasons", Reasons);
