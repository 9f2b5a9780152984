// The speak report as a control: how far slurred notes lie under picked ones at each gain, and a mark on it.

import * as api from "./api.js";
import { fill, h, s } from "./dom.js";

/**
 * @typedef {import("./hearing.js").Hearing} Hearing
 * @typedef {{gain: number, gap: number}} Step
 */

const USUAL = 20; // dB: the gain of the rig that plays unless another is asked for
const MOST = 40;
const WIDE = 150;
const HIGH = 40;
const DEEP = 12; // dB: how far down the curve is drawn

/**
 * @param {Hearing} hearing
 * @param {HTMLElement} place
 */
export function gainControl(hearing, place) {
  const slide = h("input", { type: "range", id: "gain", min: "0", max: String(MOST), step: "1", value: String(USUAL) });
  const told = h("output", { for: "gain", class: "told" });
  const curve = h("div", { class: "curve", "aria-hidden": "true" });
  /** @type {Step[]} */
  let steps = [];
  const show = () => {
    const gain = Number(slide.value);
    const gap = gapAt(steps, gain);
    const words = gap === null ? "" : gap <= 3 ? "slurs speak" : `slurs ${gap.toFixed(0)} dB under`;
    told.textContent = [`${gain} dB`, words].filter(Boolean).join(" · ");
    slide.setAttribute("aria-valuetext", `${gain} decibels${words ? `, ${words}` : ""}`);
    fill(curve, steps.length ? drawing(steps, gain, MOST) : null);
  };
  slide.addEventListener("input", show);
  slide.addEventListener("change", () => hearing.setGain(Number(slide.value)));
  const why = h("small", { id: "gain-why" }, "More gain brings slurred notes up to picked ones; point here to measure it on your line.");
  slide.setAttribute("aria-describedby", why.id);
  fill(place, h("label", { for: "gain" }, "Gain"), curve, slide, told, why);
  show();
  let asked = false;
  const ask = async () => {
    if (asked) return;
    asked = true;
    told.textContent = "measuring the slurs …";
    try {
      const report = await api.speak(hearing.session.answer.name);
      steps = report.steps;
      show();
    } catch (fault) {
      asked = false;
      told.textContent = /slur/.test(/** @type {Error} */ (fault).message) ? "no slurs to measure" : "not measured";
    }
  };
  hearing.session.addEventListener("changed", () => {
    asked = false; // another line, another answer
    steps = [];
    show();
  });
  place.addEventListener("pointerenter", ask);
  place.addEventListener("focusin", ask);
}

/** @param {Step[]} steps @param {number} gain */
function gapAt(steps, gain) {
  if (!steps.length) return null;
  const after = steps.find((step) => step.gain >= gain) ?? steps[steps.length - 1];
  const before = [...steps].reverse().find((step) => step.gain <= gain) ?? steps[0];
  const share = after.gain === before.gain ? 0 : (gain - before.gain) / (after.gain - before.gain);
  return before.gap + share * (after.gap - before.gap);
}

/** @param {Step[]} steps @param {number} gain @param {number} most */
function drawing(steps, gain, most) {
  const x = (/** @type {number} */ at) => 2 + (at / most) * (WIDE - 4);
  const y = (/** @type {number} */ gap) => 3 + (Math.min(Math.max(gap, 0), DEEP) / DEEP) * (HIGH - 6);
  const d = steps.map((step, i) => `${i ? "L" : "M"}${x(step.gain).toFixed(1)} ${y(step.gap).toFixed(1)}`).join("");
  return s(
    "svg",
    { viewBox: `0 0 ${WIDE} ${HIGH}` },
    s("rect", { class: "speaks", x: 0, y: 0, width: WIDE, height: y(3) }),
    s("path", { class: "gap", d }),
    s("circle", { class: "here", cx: x(gain), cy: y(gapAt(steps, gain) ?? DEEP), r: 4 }),
  );
}
