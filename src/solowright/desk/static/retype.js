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
  text.addEventListener("keydown", (event) => way === "tab" && typeOver(text, event));
  const fetchText = async () => {
    text.disabled = true;
    const texts = await api.barTexts(name, range.first, range.last).finally(() => (text.disabled = false));
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
    if (!draft) toFirstRow(text);
  } catch (fault) {
    fill(told, /** @type {Error} */ (fault).message);
  }
}

/** The caret stands where the first note would be typed. @param {HTMLTextAreaElement} text */
function toFirstRow(text) {
  const row = text.value.search(/^[A-Ga-g][#b]?\s*\|/m);
  const at = row < 0 ? 0 : text.value.indexOf("|", row) + 2;
  text.setSelectionRange(at, at);
  text.scrollTo(0, 0);
}

/**
 * Six rows under a count of eighths, two bars a line, for bars without notes.
 * @param {Side["session"]} session
 * @param {Range} range
 */
function emptyTab({ view }, { first, last }) {
  const chosen = view.bars.filter(({ number }) => first <= number && number <= last);
  const lines = [];
  for (let at = 0; at < chosen.length; at += 2) lines.push(emptyLine(view.tuning, chosen.slice(at, at + 2)));
  return lines.join("\n\n");
}

const NAMES = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B"];

/** @param {number[]} tuning @param {import("/static/web/types.js").Bar[]} bars */
function emptyLine(tuning, bars) {
  const names = tuning.map((midi) => NAMES[midi % 12]);
  const wide = Math.max(...names.map(({ length }) => length));
  const counts = bars.map(({ quarters }) =>
    Array.from({ length: Math.round(quarters * 2) }, (_, i) => (i % 2 ? "&" : String(i / 2 + 1))).join(" "),
  );
  const rows = names.map((name, i) => {
    const said = (i ? name : name.toLowerCase()).padEnd(wide);
    return `${said}|${counts.map((count) => `-${"-".repeat(count.length)}-|`).join("")}`;
  });
  return [`bar ${bars[0].number}`, `${" ".repeat(wide + 2)}${counts.join("   ")}`, ...rows].join("\n");
}

/**
 * In a row of tablature a sign takes the place of the dash under it, so that the columns stay; a sign
 * that is taken back leaves a dash.
 * @param {HTMLTextAreaElement} text
 * @param {KeyboardEvent} event
 */
function typeOver(text, event) {
  const { selectionStart: at, selectionEnd, value } = text;
  if (at !== selectionEnd || event.ctrlKey || event.metaKey || event.altKey) return;
  const opens = value.lastIndexOf("\n", at - 1) + 1;
  if (!/^[A-Ga-g][#b]?\s*\|/.test(value.slice(opens))) return;
  if (event.key.length === 1 && value[at] === "-") text.setSelectionRange(at, at + 1);
  if (event.key !== "Backspace" || value[at - 1] === "|" || at <= opens) return;
  event.preventDefault();
  text.setSelectionRange(at - 1, at);
  document.execCommand("insertText", false, "-");
  text.setSelectionRange(at - 1, at - 1);
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
