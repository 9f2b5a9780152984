// Light, dark, or as the system has it.

const KEY = "solowright-light";
const WORDS = { system: "Light: auto", light: "Light: day", dark: "Light: night" };

/** @typedef {keyof typeof WORDS} Light */

/** @returns {Light} */
export function lightNow() {
  const kept = localStorage.getItem(KEY);
  return kept === "light" || kept === "dark" ? kept : "system";
}

/** @param {Light} light */
export function setLight(light) {
  if (light === "system") localStorage.removeItem(KEY);
  else localStorage.setItem(KEY, light);
  showLight();
}

export function showLight() {
  const light = lightNow();
  if (light === "system") delete document.documentElement.dataset.theme;
  else document.documentElement.dataset.theme = light;
}

/** @returns {Light} */
export function nextLight() {
  const order = /** @type {Light[]} */ (Object.keys(WORDS));
  const next = order[(order.indexOf(lightNow()) + 1) % order.length];
  setLight(next);
  return next;
}

/** @param {Light} light */
export const lightWords = (light) => WORDS[light];
