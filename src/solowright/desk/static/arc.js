// How the solo builds: which curve stands over the strip, what is told of the arc, and the flash budget.

import { button, fold, h } from "./dom.js";
import * as edits from "./edits.js";
import { choice } from "./note-choices.js";
import { beat } from "./words.js";

/**
 * @typedef {import("./session.js").Session} Session
 * @typedef {{kind: string, short: string, from: {bar: number, beat: number}, to: {bar: number, beat: number},
 *   cost: number, pays: string[], could_be_plainer: boolean, plainer: {replaces: number[]} | null}} Passage
 */

/** @type {[string, string][]} a curve of the arc, and its word */
const CURVES = [
  ["intensity", "all together"],
  ["density", "pace"],
  ["pitch", "height"],
  ["load", "load"],
  ["tension", "tension"],
  ["flash", "flash"],
  ["level", "loudness"],
];
const PAYS = { climax: "at the climax", break: "in the break", turn: "into the next section", hits: "on the hits", end: "as the last word" };

/** A curve as it is drawn over the strip, 0 to 1; silent bars lie at the bottom. @param {(number | null)[]} values */
function drawn(values) {
  const known = values.filter((value) => value !== null);
  const low = Math.min(...known);
  const high = Math.max(...known);
  return values.map((value) => (value === null || high === low ? 0 : (value - low) / (high - low)));
}

/**
 * @param {Session} session
 * @param {import("/static/web/form-strip.js").FormStrip | null} strip
 * @returns {HTMLElement[]}
 */
export function arcWords(session, strip) {
  const { arc } = session.view;
  if (!arc?.climax) return [];
  /** @type {{about: string, text: string}[]} */
  const sentences = arc.sentences;
  const told = sentences.filter(({ about }) => !["flash", "plainer", "level"].includes(about));
  const line = choice("The line over the strip", "curve", CURVES, strip?.dataset.curve ?? "intensity", (curve) => {
    if (!strip) return;
    strip.dataset.curve = curve;
    /** @type {any} */ (strip).arc = curve === "intensity" ? null : drawn(arc.curves[curve]);
  });
  return [
    fold("arc", "How it builds", line, told.map(({ text }) => h("p", {}, text))),
    fold("flash", "What is spent on flash", budget(arc.flash), passages(session, arc.flash.passages, sentences)),
  ];
}

/** @param {{spent: number, budget: number}} flash */
function budget({ spent, budget }) {
  const most = Math.max(spent, budget);
  return h(
    "p",
    { class: "budget" },
    h("meter", { min: 0, max: most, value: spent, high: budget, "aria-label": "Flash spent of what the solo carries" }),
    ` ${Math.round(spent)} of about ${Math.round(budget)} beats`,
  );
}

/** @param {Passage} passage */
function passage({ short, from, cost, pays, could_be_plainer }) {
  const why = pays.map((reason) => PAYS[/** @type {keyof typeof PAYS} */ (reason)] ?? reason).join(", ");
  const words = why ? `it pays ${why}` : could_be_plainer ? "nothing asks for it: it could be plainer" : "";
  return h(
    "p",
    { class: why ? "passage pays" : "passage" },
    h("strong", {}, `Bar ${from.bar}, beat ${beat(from.beat)}: ${short}`),
    ` (${Math.round(cost * 10) / 10})${words ? `; ${words}` : ""}.`,
  );
}

/**
 * Every passage, and under one that could be plainer what that would be, with a button that puts it in.
 * @param {Session} session
 * @param {Passage[]} all
 * @param {{about: string, text: string}[]} sentences
 */
function passages(session, all, sentences) {
  const told = sentences.filter(({ about }) => about === "plainer"); // in the order of their passages
  return all.flatMap((each) => {
    if (!each.plainer) return [passage(each)];
    const { replaces } = each.plainer;
    const hint = h("p", { class: "hint" }, told.shift()?.text ?? "");
    const put = button("Play it plainer", () => session.edit(edits.plainer(replaces)), {
      "aria-label": `Play bar ${each.from.bar}, beat ${beat(each.from.beat)} plainer`,
    });
    return [passage(each), hint, h("p", { class: "ways" }, put)];
  });
}
