// The bars of the form strip: their shares of its width, and how one is drawn.

import { s } from "./element.js";
import { warmth } from "./music.js";

/**
 * @typedef {import("./types.js").Bar} Bar
 * @typedef {{x: number, width: number}} Cell
 */

/** Cells side by side, by the bars' lengths. @param {Bar[]} bars @param {number} width @returns {Cell[]} */
export function share(bars, width) {
  const usual = Math.max(1, ...bars.map((bar) => bar.quarters));
  const weights = bars.map((bar) => Math.max(0.4, bar.quarters / usual));
  const whole = weights.reduce((sum, weight) => sum + weight, 0);
  let x = 0;
  return weights.map((weight) => {
    const cell = { x, width: (weight / whole) * width };
    x += cell.width;
    return cell;
  });
}

/** @param {Cell[]} cells @param {number} x */
export function cellAt(cells, x) {
  const found = cells.findIndex((cell) => x < cell.x + cell.width);
  return found < 0 ? cells.length - 1 : found;
}

/** A bar without the air at its sides. @param {Cell} cell */
function inner({ x, width }) {
  const gap = Math.min(1, width * 0.08);
  return { left: x + gap, wide: Math.max(1, width - 2 * gap) };
}

/** @param {Bar} bar @param {Cell} cell @param {number} top @param {number} height */
export function drawBar(bar, cell, top, height) {
  const { width } = cell;
  const { left, wide } = inner(cell);
  const group = s("g", { "data-bar": bar.number });
  const inset = bar.break ? 0.5 : 0;
  group.append(s("rect", { class: bar.break ? "cell break" : "cell", x: left + inset, y: top + inset, width: Math.max(0.3, wide - 2 * inset), height: height - 2 * inset }));
  const filled = Math.min(1, bar.load) * (height - 2);
  if (filled > 0) group.append(s("rect", { class: warmth(bar.load) === "hot" ? "load hot" : "load", x: left + inset * 2, y: top + height - filled, width: Math.max(0.3, wide - 4 * inset), height: filled }));
  for (const hit of bar.hits) {
    const at = left + 2 + ((hit - 1) / bar.quarters) * (wide - 4);
    group.append(s("line", { class: "hit", x1: at, x2: at, y1: top - 2, y2: top + 5, "stroke-width": width < 20 ? 1.2 : 2 }));
  }
  if (bar.answer) group.append(s("path", { class: "answer", d: `M${left + 1} ${top + height}v3.2h${Math.max(0, wide - 2)}v-3.2` }));
  return group;
}

/** What is written in a bar: its number, its chords, its break. It stands over whatever is drawn there. @param {Bar} bar @param {Cell} cell @param {number} top @param {number} height */
export function writeBar(bar, cell, top, height) {
  const { left, wide } = inner(cell);
  const group = s("g");
  if (cell.width > 30) group.append(s("text", { class: "count", x: left + 4, y: top + 11 }, String(bar.number)));
  if (bar.break && wide > 60) group.append(s("text", { class: "told", x: left + wide - 4, y: top + 11, "text-anchor": "end" }, "break"));
  group.append(...drawChords(bar, left, wide, top + height - 9));
  return group;
}

/** @param {Bar} bar @param {number} left @param {number} wide @param {number} y */
function* drawChords(bar, left, wide, y) {
  if (!bar.chords.length) {
    yield s("text", { class: "held", x: left + wide / 2, y, "text-anchor": "middle" }, "%");
    return;
  }
  const size = Math.min(14, Math.max(9, chordSize(bar, wide)));
  const widths = bar.chords.map(({ text }) => textWidth(text, size, 400));
  let slack = Math.max(0, wide - 8 - widths.reduce((sum, each) => sum + each, 0) - 5 * (widths.length - 1));
  let at = left + 4;
  for (const [n, { beat, text }] of bar.chords.entries()) {
    const even = left + 4 + ((beat - 1) / bar.quarters) * (wide - 8);
    const x = Math.min(Math.max(at, even), at + slack);
    slack -= x - at;
    yield s("text", { class: "chord", x, y, "font-size": size }, text);
    at = x + widths[n] + 5;
  }
}

/** The size at which a bar's chords fit a cell. @param {Bar} bar @param {number} wide */
export function chordSize(bar, wide) {
  if (!bar.chords.length) return 13;
  const needed = bar.chords.reduce((sum, { text }) => sum + textWidth(text, 13, 400), 0);
  return Math.min(13, (13 * (wide - 8 - 5 * (bar.chords.length - 1))) / needed);
}

const ruler = document.createElement("canvas").getContext("2d");
/** @type {Map<string, number>} */
const measured = new Map();

/** @param {string} text @param {number} size @param {number} weight */
export function textWidth(text, size, weight) {
  const key = `${weight} ${text}`;
  let unit = measured.get(key);
  if (unit === undefined) {
    const family = getComputedStyle(document.documentElement).getPropertyValue("--sans") || "sans-serif";
    if (ruler) ruler.font = `${weight} 100px ${family}`;
    unit = ruler ? ruler.measureText(text).width / 100 : text.length * 0.55;
    measured.set(key, unit);
  }
  return unit * size;
}

/** What was measured was in another font. */
export const measureAnew = () => measured.clear();
