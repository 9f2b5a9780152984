// The best fingerings of a passage side by side: a small tablature each, with what it costs.

import * as api from "./api.js";
import { button, fill, h, s } from "./dom.js";
import * as edits from "./edits.js";
import { Bars, tempo } from "./words.js";

/**
 * @typedef {import("./side.js").Side} Side
 * @typedef {import("./session.js").Range} Range
 * @typedef {import("./edits.js").Placed} Placed
 */

/** @param {Side} side @param {Range} range */
export async function compareFingerings(side, range) {
  const { session } = side;
  const list = h("div", { class: "fingerings", "aria-busy": "true" }, h("p", { class: "hint" }, "Trying other ways …"));
  const panel = h(
    "div",
    { class: "panel compare" },
    h(
      "div",
      { class: "panel-head" },
      h("h3", {}, `${Bars(range.first, range.last)}: ways to finger them`),
      button("Back", () => side.leave(), { class: "plain" }),
    ),
    list,
  );
  side.take(panel);
  try {
    const ways = await api.fingerings(session.answer.name, range.first, range.last);
    list.removeAttribute("aria-busy");
    fill(list, ways.map((way, i) => card(side, way, i)));
    /** @type {HTMLElement | null} */ (list.querySelector("button"))?.focus({ preventScroll: true });
  } catch (fault) {
    list.removeAttribute("aria-busy");
    fill(list, h("p", { class: "refusal", role: "alert" }, /** @type {Error} */ (fault).message));
  }
}

/** @param {Side} side @param {import("./api.js").Way} way @param {number} i */
function card(side, way, i) {
  const take = async () => {
    if (await side.session.edit(edits.fingering(way.notes))) side.leave();
  };
  return h(
    "section",
    { class: way.here ? "way here" : "way" },
    smallTab(way.notes),
    h("p", { class: "cost" }, way.limit_tempo ? `limit ${tempo(way.limit_tempo)}` : "no limit", way.change ? ` · ${way.change}` : ""),
    way.here ? h("p", { class: "here-word" }, "as it is now") : button(`Take way ${i + 1}`, take),
  );
}

/**
 * Frets on six lines, a number a note, in order; the finger under it.
 * @param {Placed[]} notes
 */
function smallTab(notes) {
  const step = 17;
  const gap = 9;
  const lows = Math.max(6, ...notes.map(({ string }) => string));
  const width = notes.length * step + 8;
  const high = lows * gap + 16;
  const svg = s("svg", { viewBox: `0 0 ${width} ${high}`, width, height: high, class: "small-tab", role: "img" });
  svg.setAttribute("aria-label", notes.map(({ string, fret }) => `string ${string} fret ${fret}`).join(", "));
  for (let row = 0; row < lows; row += 1) {
    svg.append(s("path", { class: "string", d: `M0 ${5 + row * gap}H${width}` }));
  }
  notes.forEach(({ string, fret, finger }, i) => {
    const x = 10 + i * step;
    const y = 5 + (string - 1) * gap;
    const wide = String(fret).length * 5 + 3;
    svg.append(
      s("rect", { class: "gap", x: x - wide / 2, y: y - 4.5, width: wide, height: 9 }),
      s("text", { x, y: y + 3.4, class: "fret" }, String(fret)),
      s("text", { x, y: high - 2, class: "finger" }, String(finger ?? "")),
    );
  });
  return h("div", { class: "small-tab-room" }, svg);
}
