// Chosen bars: their chords and what the band does there, and the deeds that begin at bars.

import { compareFingerings } from "./compare.js";
import { button, fold, h, labelled } from "./dom.js";
import * as edits from "./edits.js";
import { retype } from "./retype.js";
import { bars as barWords, beat } from "./words.js";

/**
 * @typedef {import("./side.js").Side} Side
 * @typedef {import("./session.js").Range} Range
 * @typedef {import("/static/web/types.js").Bar} Bar
 */

/**
 * @param {Side} side
 * @param {Range} range
 * @returns {HTMLElement[]}
 */
export function barChoices(side, range) {
  const { session } = side;
  const chosen = session.view.bars.filter(({ number }) => range.first <= number && number <= range.last);
  return [
    h("div", { class: "chords" }, chosen.slice(0, 8).map((bar) => chordField(side, bar))),
    chosen.length > 8 ? h("p", { class: "hint" }, "Choose fewer bars to see all their chords.") : null,
    band(side, chosen),
    form(side, range, chosen[0]),
    key(side),
  ].filter((element) => element !== null);
}

/**
 * What is most often done with bars, over their reasons.
 * @param {Side} side
 * @param {Range} range
 */
export function barDeeds(side, range) {
  return [
    button(`Type ${barWords(range.first, range.last)} anew`, () => retype(side, range), { "data-keep": "retype" }),
    button("Other fingerings", () => compareFingerings(side, range), { "data-keep": "compare" }),
    keepBars(side, range),
  ];
}

/** The fingering of the bars stays as it is, or is found again. @param {Side} side @param {Range} range */
function keepBars({ session }, range) {
  const notes = session.view.notes.filter(({ bar }) => range.first <= bar && bar <= range.last);
  if (!notes.length) return null;
  const kept = notes.every(({ fixed }) => fixed.includes("place"));
  const edit = kept ? edits.freeBars(range) : edits.lockBars(range);
  const words = kept ? "Find the fingering anew" : "Keep this fingering";
  return button(words, () => session.edit(edit), { "data-keep": "keep-bars" });
}

/** A bar's chords as a sheet writes them. @param {Bar} bar */
function chordText(bar) {
  if (!bar.chords.length) return "%";
  if (bar.chords.length === 1 && bar.chords[0].beat === 1) return bar.chords[0].symbol;
  const beats = Math.round(bar.quarters);
  /** @type {string[]} */
  const slots = Array(beats).fill(".");
  for (const { beat: at, symbol } of bar.chords) slots[Math.round(at) - 1] = symbol;
  const halves = beats === 4 && slots[1] === "." && slots[3] === "." && slots[0] !== "." && slots[2] !== ".";
  return halves ? `${slots[0]} ${slots[2]}` : slots.join(" ");
}

/** @param {Side} side @param {Bar} bar */
function chordField(side, bar) {
  const field = h("input", {
    id: `chord-${bar.number}`,
    value: chordText(bar),
    autocomplete: "off",
    spellcheck: false,
    "data-keep": `chord-${bar.number}`,
  });
  const now = field.value;
  const take = async () => {
    const text = field.value.trim();
    if (text === now) return;
    if (!(await side.session.edit(edits.chord(bar.number, text)))) {
      field.setAttribute("aria-invalid", "true");
      field.focus();
    }
  };
  field.addEventListener("change", take);
  return labelled(`Chords of bar ${bar.number}`, field);
}

/** Hits, break, answer. @param {Side} side @param {Bar[]} chosen */
function band(side, chosen) {
  const { session } = side;
  const [bar] = chosen;
  const range = { first: bar.number, last: chosen[chosen.length - 1].number };
  const breaks = chosen.every((each) => each.break);
  return fold(
    "band",
    "The band here",
    h(
      "p",
      {},
      tick("Break: the band is silent", "break", breaks, (on) => session.edit(edits.pause(range, on))),
    ),
    beats("Hits", "hit", bar, bar.hits, (at) => session.edit(edits.hits(bar.number, at))),
    h(
      "p",
      {},
      tick(`Bar ${bar.number}: the band answers`, "answers", bar.answer !== null, (on) =>
        session.edit(edits.answer(bar.number, on)),
      ),
    ),
    bar.answer === null
      ? null
      : beats("It answers", "answer", bar, bar.answer, (at) => session.edit(edits.answer(bar.number, true, at))),
  );
}

/**
 * The eighths of a bar, each struck or not.
 * @param {string} title @param {string} name @param {Bar} bar @param {number[]} struck
 * @param {(beats: number[]) => void} take
 */
function beats(title, name, bar, struck, take) {
  const eighths = Array.from({ length: Math.round(bar.quarters * 2) }, (_, i) => 1 + i / 2);
  const all = [...new Set([...eighths, ...struck])].sort((a, b) => a - b);
  return h(
    "fieldset",
    { class: "words beats" },
    h("legend", {}, `${title}, bar ${bar.number}`),
    all.map((at) =>
      h(
        "label",
        {},
        h("input", {
          type: "checkbox",
          checked: struck.includes(at),
          "aria-label": `${title} on ${beat(at)}`,
          "data-keep": `${name}-${at}`,
          onchange: () => take(struck.includes(at) ? struck.filter((each) => each !== at) : [...struck, at].sort((a, b) => a - b)),
        }),
        h("span", {}, at % 1 ? (at % 1 === 0.5 ? "&" : beat(at)) : String(at)),
      ),
    ),
  );
}

/** @param {string} words @param {string} keep @param {boolean} on @param {(on: boolean) => void} take */
function tick(words, keep, on, take) {
  const box = h("input", { type: "checkbox", checked: on, "data-keep": keep });
  box.addEventListener("change", () => take(box.checked));
  return h("label", { class: "tick" }, box, ` ${words}`);
}

/** Sections, bars more or fewer. @param {Side} side @param {Range} range @param {Bar} bar */
function form(side, range, bar) {
  const { session } = side;
  const name = h("input", {
    id: "section",
    value: bar.section ?? "",
    autocomplete: "off",
    placeholder: "none opens here",
    "data-keep": "section",
  });
  name.addEventListener("change", () => session.edit(edits.section(bar.number, name.value.trim())));
  const count = range.last - range.first + 1;
  return fold(
    "form",
    "The form here",
    labelled(`Section opening in bar ${bar.number}`, name),
    h(
      "div",
      { class: "deeds" },
      button(`Put ${count === 1 ? "a bar" : `${count} bars`} before`, () => session.edit(edits.barsBefore(range.first, count)), {
        "data-keep": "before",
      }),
      button(`Put ${count === 1 ? "a bar" : `${count} bars`} after`, () => session.edit(edits.barsAfter(range.last, count)), {
        "data-keep": "after",
      }),
      button(`Take ${barWords(range.first, range.last)} out`, () => session.edit(edits.removeBars(range)), {
        "data-keep": "remove",
      }),
    ),
  );
}

/** @param {Side["session"]} session @param {"title" | "composer"} what @param {string} words */
function heading(session, what, words) {
  const field = h("input", { id: `head-${what}`, value: session.view[what], autocomplete: "off", "data-keep": `head-${what}` });
  field.addEventListener("change", () => session.edit(edits.heading({ [what]: field.value.trim() })));
  return labelled(words, field);
}

/** Key, tempo and head of the whole tune. @param {Side} side */
function key(side) {
  const { session } = side;
  const steps = h(
    "select",
    { id: "transpose", "data-keep": "transpose" },
    Array.from({ length: 13 }, (_, i) => 6 - i).map((step) =>
      h(
        "option",
        { value: String(step), selected: step === 0 },
        step === 0 ? "as it is" : `${Math.abs(step)} half step${Math.abs(step) === 1 ? "" : "s"} ${step > 0 ? "up" : "down"}`,
      ),
    ),
  );
  steps.addEventListener("change", () => Number(steps.value) && session.edit(edits.transpose(Number(steps.value))));
  const speed = h("input", {
    id: "show-tempo",
    type: "number",
    min: "20",
    max: "400",
    value: String(Math.round(session.view.tempo)),
    "data-keep": "show-tempo",
  });
  speed.addEventListener("change", () => session.edit(edits.tempo(Number(speed.value))));
  return fold(
    "key",
    "The whole tune",
    labelled(`Key: ${session.view.key}. Move it`, steps),
    labelled("Show tempo", speed),
    heading(session, "title", "Title"),
    heading(session, "composer", "Composer"),
  );
}
