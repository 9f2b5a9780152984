// How the desk says bars, beats, tempos and chords.

/** @param {number} first @param {number} [last] */
export function bars(first, last = first) {
  return first === last ? `bar ${first}` : `bars ${first}–${last}`;
}

/** The same, as a heading. @param {number} first @param {number} [last] */
export function barsTitle(first, last = first) {
  return first === last ? `Bar ${first}` : `Bars ${first}–${last}`;
}

export { beatText as beat, signs } from "/static/web/music.js";

/** @param {number} quarters  a minute */
export function tempo(quarters) {
  return String(Math.round(quarters));
}

/** A tempo in percent of the show tempo, as finely as sound is made. @param {number} quarters @param {number} show */
export function percentAt(quarters, show) {
  return Math.round((100_000 * quarters) / show) / 1000;
}

/** How fast a tune can be played. @param {number | null} limit  quarters a minute */
export function upTo(limit) {
  return limit ? `up to ${tempo(limit)}` : "any tempo";
}

/** @param {number} number @param {string} one @param {string} [many] */
export function count(number, one, many = `${one}s`) {
  return `${number} ${number === 1 ? one : many}`;
}

/** Load in words: 1 is the limit. @param {number} share */
export function load(share) {
  if (share >= 1) return "over the limit";
  if (share >= 0.8) return "near the limit";
  if (share >= 0.5) return "work";
  return "easy";
}
