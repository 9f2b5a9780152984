// Typing bars anew, as tablature or ABC, with the page following each pause in the typing.
// What is typed but can't be read yet is kept for this window, so that a reload loses none of it.

import * as api from "./api.js";
import { button, fill, h } from "./dom.js";
import * as edits from "./edits.js";
import { choice } from "./note-choices.js";
import { Bars } from "./words.js";

/**
 * @typedef {import("./side.js").Side} Side
 * @typedef {import("./session.js").Range} Range
 * @typedef {"tab" | "abc"} Way
 * @typedef {{first: number, last: number, way: Way, text: string}} Draft
 */

const PAUSE = 450; // ms without a key until the page follows

/** @param {string} name */
const draftKey = (name) => `solowright-draft-${name}`;

/** @param {string} name @returns {Draft | null} */
export function keptDraft(name) {
  return JSON.parse(sessionStorage.getItem(draftKey(name)) ?? "null");
}

/**
 * @param {Side} side
 * @param {Range} range
 * @param {Draft | null} [draft]
 */
export async function retype(side, range, draft = null) {
  const { session } = side;
  const { name } = session.answer;
  /** @type {Way} */
  let way = draft?.way ?? "tab";
  let pause = 0;
  let sent = "";
  const text = h("textarea", {
    class: "typed",
    rows: 9,
    spellcheck: false,
    autocomplete: "off",
    wrap: "off",
    "aria-label": `${Bars(range.first, range.last)} as text`,
  });
  const told = h("p", { class: "told", role: "status" });
  const keep = () => sessionStorage.setItem(draftKey(name), JSON.stringify({ ...range, way, text: text.value }));
  const drop = () => sessionStorage.removeItem(draftKey(name));

  const follow = async () => {
    window.clearTimeout(pause);
    if (text.value === sent) return true;
    const now = text.value;
    told.textContent = "Reading …";
    const done = await session.edit(edits.barText(range, now, way), true);
    if (now !== text.value) return done;
    if (done) sent = now;
    if (done) drop();
    told.className = done ? "told" : "told refusal";
    told.textContent = done ? "The page follows." : session.refusal;
    return done;
  };
  text.addEventListener("input", () => {
    keep();
    window.clearTimeout(pause);
    pause = window.setTimeout(follow, PAUSE);
  });
  const fetchText = async () => {
    const texts = await api.barTexts(name, range.first, range.last);
    if (way === "tab" && texts.tab === null && texts.abc.match(/[A-Ga-g]/)) {
      way = "abc"; // tablature can't say it
      panel.querySelectorAll("input").forEach((input) => (input.checked = input.value === way));
      told.textContent = "These bars can't be written as tablature without losing something; here they are in ABC.";
    } else told.textContent = "";
    sent = text.value = way === "abc" ? texts.abc : (texts.tab ?? emptyTab(session, range));
  };
  const finish = async () => {
    if (!(await follow())) return text.focus();
    side.leave();
  };
  const leave = () => {
    window.clearTimeout(pause);
    drop();
    side.leave();
  };
  const panel = h(
    "div",
    { class: "panel retype" },
    h(
      "div",
      { class: "panel-head" },
      h("h3", {}, `${Bars(range.first, range.last)} anew`),
      button("Back", leave, { class: "plain" }),
    ),
    choice("Typed as", "way", [["tab", "tablature"], ["abc", "ABC"]], way, async (value) => {
      way = /** @type {Way} */ (value);
      drop();
      await fetchText();
      text.focus();
    }),
    text,
    told,
    help(),
    h("p", { class: "ways" }, button("Done", finish, { class: "main" })),
  );
  side.take(panel);
  try {
    await fetchText();
    if (draft) {
      text.value = draft.text;
      await follow();
    }
    text.focus();
    text.setSelectionRange(0, 0);
  } catch (fault) {
    fill(told, /** @type {Error} */ (fault).message);
  }
}

/** Six rows under a count of eighths, for bars without notes. @param {Side["session"]} session @param {Range} range */
function emptyTab({ view }, { first, last }) {
  const chosen = view.bars.filter(({ number }) => first <= number && number <= last);
  const names = view.tuning.map((midi, i) => (i ? "CCDDEFFGGAAB"[midi % 12] : "CCDDEFFGGAAB"[midi % 12].toLowerCase()));
  const counts = chosen.map(({ quarters }) =>
    Array.from({ length: Math.round(quarters * 2) }, (_, i) => (i % 2 ? "&" : String(i / 2 + 1))).join(" "),
  );
  const rows = names.map((name) => `${name}|-${counts.map((count) => `${"-".repeat(count.length)}-|`).join("-")}`);
  return [`   ${counts.join("   ")}`, ...rows].join("\n");
}

function help() {
  return h(
    "details",
    { class: "fold" },
    h("summary", {}, "How it is typed"),
    h(
      "p",
      {},
      "Six rows from the high string down, under a row that counts: 1 & 2 & 3 & 4 & for eighths, 1 e & a for sixteenths, 1 t l for triplets. A number is a fret; h, p and / slur and slide; a note lasts to the next; a comma ends it early.",
    ),
    h(
      "p",
      {},
      "In ABC: C D E is the octave of middle C, c an octave higher, C, one lower; 2 doubles a length, /2 halves it; (ab) slurs; z rests.",
    ),
  );
}
