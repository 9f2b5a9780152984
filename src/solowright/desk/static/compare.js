// The best fingerings of a passage side by side: a small tablature each, with what it costs.

import * as api from "./api.js";
import { button, fill, h, s } from "./dom.js";
import * as edits from "./edits.js";
import { barsTitle, upTo } from "./words.js";

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
      h("h3", {}, `${barsTitle(range.first, range.last)}: ways to finger them`),
      button("Back", () => side.leave(), { class: "plain" }),
    ),
    list,
  );
  side.take(panel, () => side.release(panel));
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
    h("p", { class: "cost" }, upTo(way.limit_tempo), ` · load ${way.load.toFixed(2)}`),
    h("p", { class: "cost" }, way.change),
    way.here ? h("p", { class: "here-word" }, "as it is now") : button(`Take way ${i + 1}`, take),
  );
}

const STEP = 17;
const GAP = 9; // between strings
const HEAD = 13; // room for slurs over the strings
const SLURS = { hammer: "h", pull: "p", slide: "sl.", tap: "t" };

/**
 * Frets on six lines, a number a note, in order; slurs over them, the finger under them.
 * @param {Placed[]} notes
 */
function smallTab(notes) {
  const strings = Math.max(6, ...notes.map(({ string }) => string));
  const width = notes.length * STEP + 8;
  const high = HEAD + strings * GAP + 12;
  const y = (/** @type {number} */ string) => HEAD + (string - 1) * GAP;
  const rows = Array.from({ length: strings }, (_, row) => s("path", { class: "string", d: `M0 ${y(row + 1)}H${width}` }));
  const signs = notes.flatMap(({ string, fret, finger, entry }, i) => {
    const x = 10 + i * STEP;
    const wide = String(fret).length * 5 + 3;
    return [
      s("rect", { class: "gap", x: x - wide / 2, y: y(string) - 4.5, width: wide, height: 9 }),
      s("text", { x, y: y(string) + 3.4, class: "fret" }, String(fret)),
      s("text", { x, y: high - 2, class: "finger" }, String(finger ?? "")),
      s("text", { x: x - STEP / 2, y: 7, class: "slur" }, SLURS[/** @type {keyof typeof SLURS} */ (entry)] ?? ""),
    ];
  });
  const said = notes.map(({ string, fret, finger }) => `string ${string} fret ${fret} finger ${finger ?? 0}`).join(", ");
  const picture = s("svg", { viewBox: `0 0 ${width} ${high}`, width, height: high, class: "small-tab", role: "img", "aria-label": said });
  picture.append(...rows, ...signs);
  return h("div", { class: "small-tab-room", tabIndex: 0, role: "group", "aria-label": "The passage" }, picture);
}
