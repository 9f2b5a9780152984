// The edits that the server knows, one function each.

/**
 * @typedef {import("./api.js").Edit} Edit
 * @typedef {import("./session.js").Range} Range
 * @typedef {{note: number, string: number, fret: number, finger: number | null, entry: string}} Placed
 * @typedef {"place" | "finger" | "entry"} Fixed
 */

/** @param {number} note @param {{string: number, fret: number, finger?: number | null}} place @returns {Edit} */
export const place = (note, { string, fret }) => ({ kind: "place", note, string, fret });

/** Fixes notes as they are fingered now. @param {number} note @param {Fixed[]} [what] @returns {Edit} */
export const lock = (note, what) => ({ kind: "lock", note, ...(what && { what }) });

/** Lets notes be found again. @param {number} note @param {Fixed[]} [what] @returns {Edit} */
export const free = (note, what) => ({ kind: "free", note, ...(what && { what }) });

/** @param {Range} range @param {Fixed[]} [what] @returns {Edit} */
export const lockBars = ({ first, last }, what) => ({ kind: "lock", from: first, to: last, ...(what && { what }) });

/** @param {Range} range @param {Fixed[]} [what] @returns {Edit} */
export const freeBars = ({ first, last }, what) => ({ kind: "free", from: first, to: last, ...(what && { what }) });

/** @param {number} note @param {string | null} entry @returns {Edit} */
export const entry = (note, entry) => ({ kind: "entry", note, entry });

/** @param {number} note @param {number | null} finger @returns {Edit} */
export const finger = (note, finger) => ({ kind: "finger", note, finger });

/** @param {Placed[]} notes @returns {Edit} */
export const fingering = (notes) => ({
  kind: "fingering",
  notes: notes.map(({ note, string, fret, finger, entry }) => ({ note, string, fret, finger, entry })),
});

/** A showy passage gives way to its plainer version. @param {number[]} notes  that it replaces @returns {Edit} */
export const plainer = (notes) => ({ kind: "plainer", notes });

/** @param {Range} range @param {string} text @param {"tab" | "abc"} way @returns {Edit} */
export const barText = ({ first, last }, text, way) => ({ kind: `bar_${way}`, from: first, to: last, text });

/** @param {number} bar @param {string} text @returns {Edit} */
export const chord = (bar, text) => ({ kind: "chord", bar, text });

/** @param {number} bar @param {number} count @returns {Edit} */
export const barsBefore = (bar, count) => ({ kind: "insert_bars", before: bar, count });

/** @param {number} bar @param {number} count @returns {Edit} */
export const barsAfter = (bar, count) => ({ kind: "insert_bars", after: bar, count });

/** @param {Range} range @returns {Edit} */
export const removeBars = ({ first, last }) => ({ kind: "remove_bars", from: first, to: last });

/** @param {number} bar @param {string} name  none joins it to the section before @returns {Edit} */
export const section = (bar, name) => ({ kind: "section", bar, name: name || null });

/** @param {number} bar @param {number[]} beats @returns {Edit} */
export const hits = (bar, beats) => ({ kind: "hits", bar, beats });

/** @param {number} bar @param {boolean} on @param {number[]} beats @returns {Edit} */
export const answer = (bar, on, beats = []) => ({ kind: "answer", bar, on, beats });

/** @param {Range} range @param {boolean} on @returns {Edit} */
export const pause = ({ first, last }, on) => ({ kind: "break", from: first, to: last, on });

/** @param {number} semitones @returns {Edit} */
export const transpose = (semitones) => ({ kind: "transpose", semitones });

/** @param {number} tempo @returns {Edit} */
export const tempo = (tempo) => ({ kind: "tempo", tempo });

/** @param {string} device @param {boolean} other @returns {Edit} */
export const reading = (device, other) => ({ kind: "reading", device, other });

/** @param {string} id @param {string} text @returns {Edit} */
export const sentence = (id, text) => ({ kind: "sentence", sentence: id, text });

/** @param {string} id @returns {Edit} */
export const hideSentence = (id) => ({ kind: "sentence", sentence: id, hidden: true });

/** @param {string} id @returns {Edit} */
export const sentenceAsFound = (id) => ({ kind: "sentence", sentence: id, text: null });

/** @param {Range} range @param {string} text @returns {Edit} */
export const remark = ({ first, last }, text) => ({
  kind: "remark",
  from: { bar: first, beat: 1 },
  to: { bar: last, beat: 1 },
  text,
});

/** @param {string} id @param {string} text @returns {Edit} */
export const reword = (id, text) => ({ kind: "remark", remark: id, text });

/** @param {string} id @returns {Edit} */
export const dropRemark = (id) => ({ kind: "remark", remark: id, text: "" });

/** @param {{title?: string, composer?: string, key?: string, feel?: string}} head @returns {Edit} */
export const heading = (head) => ({ kind: "heading", ...head });
