// How the desk says bars, beats, tempos and chords.

/** @param {number} first @param {number} [last] */
export function bars(first, last = first) {
  return first === last ? `bar ${first}` : `bars ${first}–${last}`;
}

/** @param {number} first @param {number} [last] */
export function Bars(first, last = first) {
  return first === last ? `Bar ${first}` : `Bars ${first}–${last}`;
}

export { beatText as beat, signs } from "/static/web/music.js";

/** @param {number} tempo */
export function tempo(tempo) {
  return String(Math.round(tempo));
}

/** @param {number} count @param {string} one @param {string} [many] */
export function count(count, one, many = `${one}s`) {
  return `${count} ${count === 1 ? one : many}`;
}

/** Load in words: 1 is the limit. @param {number} load */
export function load(load) {
  if (load >= 1) return "over the limit";
  if (load >= 0.8) return "near the limit";
  if (load >= 0.5) return "work";
  return "easy";
}

/** Seconds as 1:05. @param {number} seconds */
export function clock(seconds) {
  const whole = Math.max(0, Math.floor(seconds));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}
