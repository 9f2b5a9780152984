// Questions about a view, answered by plain functions: what sounds when, what it is called.

/**
 * @typedef {import("./types.js").View} View
 * @typedef {import("./types.js").Bar} Bar
 * @typedef {import("./types.js").Note} Note
 * @typedef {import("./types.js").System} System
 * @typedef {import("./types.js").Bars} Bars
 */

/**
 * Place in `rows` of the last that begins at or before a time; -1 before the first.
 * @param {{time: number}[]} rows  in order of time
 * @param {number} time
 */
export function lastBefore(rows, time) {
  let low = 0;
  let high = rows.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (rows[middle].time <= time + 1e-6) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

/**
 * Place in `view.bars` of the bar at a time.
 * @param {View} view
 * @param {number} time
 */
export const barAt = (view, time) => Math.max(0, lastBefore(view.bars, time));

/**
 * Place in `view.bars` of the bar that players call `number`.
 * @param {View} view
 * @param {number} number
 */
export const barIndex = (view, number) => number - (view.bars[0]?.number ?? 1);

/**
 * Places in `view.notes` of what sounds at a time.
 * @param {View} view
 * @param {number} time
 */
export function notesAt(view, time) {
  const found = [];
  for (let n = lastBefore(view.notes, time); n >= 0 && n > lastBefore(view.notes, time) - 12; n -= 1) {
    if (view.notes[n].time + view.notes[n].length > time + 1e-6) found.push(n);
  }
  return found.reverse();
}

/**
 * Places in `view.notes` of what is struck next after a time.
 * @param {View} view
 * @param {number} time
 */
export function notesAfter(view, time) {
  const first = lastBefore(view.notes, time) + 1;
  if (first >= view.notes.length) return [];
  let end = first;
  while (end < view.notes.length && view.notes[end].time - view.notes[first].time < 1e-4) end += 1;
  return Array.from({ length: end - first }, (_, n) => first + n);
}

/**
 * Millimetres from the nut, or the capo, to a fret.
 * @param {View} view
 * @param {number} fret
 */
export const fretPlace = (view, fret) =>
  view.scale_mm * (2 ** (-view.capo / 12) - 2 ** (-(view.capo + fret) / 12));

/**
 * x in a system at a time, in points; null where the system doesn't hold it.
 * @param {System} system
 * @param {number} time
 */
export function placeInSystem(system, time) {
  const { clock } = system;
  const last = clock.length - 1;
  if (last < 1 || time < clock[0][0] - 1e-6 || time >= clock[last][0] - 1e-6) return null;
  let n = 1;
  while (n < last && clock[n][0] <= time) n += 1;
  const [t0, x0] = clock[n - 1];
  const [t1, x1] = clock[n];
  return x0 + ((x1 - x0) * Math.max(0, time - t0)) / (t1 - t0);
}

/**
 * The time at an x of a system (the other way round).
 * @param {System} system
 * @param {number} x
 */
export function timeInSystem(system, x) {
  const { clock } = system;
  if (x <= clock[0][1]) return clock[0][0];
  for (let n = 1; n < clock.length; n += 1) {
    const [t0, x0] = clock[n - 1];
    const [t1, x1] = clock[n];
    if (x < x1) return t0 + ((t1 - t0) * (x - x0)) / Math.max(1e-6, x1 - x0);
  }
  return clock[clock.length - 1][0] - 1e-3;
}

/** @param {number} beat */
export function beatText(beat) {
  const whole = Math.floor(beat + 1e-6);
  const rest = beat - whole;
  if (Math.abs(rest - 1 / 3) < 1e-3) return `${whole}⅓`;
  if (Math.abs(rest - 2 / 3) < 1e-3) return `${whole}⅔`;
  return String(Math.round(beat * 1000) / 1000);
}

/** Names as printed. @param {string} name */
export const signs = (name) => name.replace(/(?<=[A-G])b/g, "♭").replace(/#/g, "♯").replace(/^b(?=\d)/, "♭");

const ENTRIES = { pick: "picked", hammer: "hammered on", pull: "pulled off", slide: "slid into", tap: "tapped", harmonic: "harmonic" };

/** What a note is, for those who hear it read. @param {Note} note */
export function noteWords(note) {
  const where = note.fret ? `string ${note.string} fret ${note.fret}` : `string ${note.string} open`;
  const finger = note.finger ? `, finger ${note.finger}` : "";
  return `Bar ${note.bar} beat ${beatText(note.beat)}: ${signs(note.name)}, ${where}${finger}, ${ENTRIES[note.entry]}`;
}

/** @param {Bars|{start: number, end: number}|null} loop */
export function barsWords(loop) {
  if (!loop || !("first" in loop)) return loop ? "this passage" : "";
  return loop.first === loop.last ? `bar ${loop.first}` : `bars ${loop.first} to ${loop.last}`;
}

/** How near a load is to the limit: calm, warm from 0.6, hot from 0.8. @param {number} load */
export const warmth = (load) => (load >= 0.8 ? "hot" : load >= 0.6 ? "warm" : "calm");
