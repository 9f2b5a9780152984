// The reasons: what a note is, which devices and sentences stand over a place, and the player's say in them.

import { arcWords } from "./arc.js";
import { button, fill, fold, h } from "./dom.js";
import * as edits from "./edits.js";
import { beat, load, signs, tempo } from "./words.js";

/**
 * @typedef {import("./session.js").Session} Session
 * @typedef {{note: number | null, first: number, last: number}} Subject
 * @typedef {import("./api.js").Told} Told
 * @typedef {import("./api.js").Device} Device
 */

/**
 * @param {Session} session
 * @param {Subject | null} subject
 * @returns {HTMLElement[]}
 */
export function reasons(session, subject) {
  if (!subject) return whole(session);
  const { view } = session;
  const span = spanOf(session, subject);
  const over = (/** @type {{start: number, end: number}} */ { start, end }) =>
    start < span.end - 1e-6 && Math.max(end, start + 1e-3) > span.start + 1e-6;
  const sentences = view.sentences.filter(over);
  const devices = view.devices.filter((device) =>
    subject.note === null ? over(device) : device.notes.includes(subject.note),
  );
  const told = new Set(sentences.map(({ text }) => text));
  const list = [
    ...sentences.map((sentence) => sentenceItem(session, sentence)),
    ...devices.filter(({ sentence, short }) => short && !told.has(sentence)).map((device) => deviceItem(device)),
    ...devices.filter(({ runner_up }) => runner_up.length).map((device) => otherItem(session, device)),
  ];
  return [
    list.length ? h("ul", { class: "told-list" }, list) : null,
    list.length || subject.note !== null ? null : h("p", { class: "hint" }, "Nothing stands out here."),
    subject.note === null ? hiddenWords(session, subject) : null,
    subject.note === null ? remarkForm(session, subject) : null,
  ].filter((element) => element !== null);
}

/**
 * What a place is, in a line or two: a note's role and load, or a bar's chords and what the band does.
 * @param {Session} session
 * @param {Subject | null} subject
 */
export function facts({ view }, subject) {
  if (!subject) return "";
  return subject.note === null ? bandWords(view, subject) : noteWords(view, subject.note);
}

/** Seconds that the subject takes. @param {Session} session @param {Subject} subject */
function spanOf({ view }, { note, first, last }) {
  if (note !== null) {
    const { time, length } = view.notes[note];
    return { start: time, end: time + Math.max(length, 0.01) };
  }
  const chosen = view.bars.filter(({ number }) => first <= number && number <= last);
  const end = chosen[chosen.length - 1];
  return { start: chosen[0].time, end: end.time + end.length };
}

/** @param {Session} session */
function whole(session) {
  const { view } = session;
  const { crux } = view;
  const limit = view.limit_tempo
    ? `Playable up to ${tempo(view.limit_tempo)}; it is wanted at ${tempo(view.tempo)}.`
    : "";
  return [
    view.summary ? h("p", { class: "summary" }, view.summary) : null,
    h("p", {}, limit),
    crux ? h("p", {}, `The hardest beat: bar ${crux.bar}, beat ${beat(crux.beat)}: ${crux.why}.`) : null,
    ...view.sections
      .filter(({ text }) => text)
      .map(({ name, first, last, text }) =>
        fold(`section-${first}`, `${name || "Opening"}, bars ${first}–${last}`, h("p", {}, text)),
      ),
    ...arcWords(session, document.querySelector("sw-form-strip")),
  ].filter((element) => element !== null);
}

/** @param {Session["view"]} view @param {number} index */
function noteWords(view, index) {
  const note = view.notes[index];
  const target = view.targets.find((each) => each.note === index);
  const degree = note.degree ? `the ${signs(note.degree)} of ${signs(note.chord)}` : "";
  const role = note.role ? note.role.replaceAll("-", " ") : "";
  return [
    [degree, role].filter(Boolean).join(", "),
    target ? `A target: ${target.approach}` : "",
    `String ${note.string}, fret ${note.fret}${note.finger ? `, finger ${note.finger}` : ""}: ${load(note.load)} (load ${note.load.toFixed(2)})`,
  ]
    .filter(Boolean)
    .map((words) => `${words.charAt(0).toUpperCase()}${words.slice(1)}.`)
    .join(" ");
}

/** Chords and what the band does. @param {Session["view"]} view @param {Subject} subject */
function bandWords(view, { first, last }) {
  const chosen = view.bars.filter(({ number }) => first <= number && number <= last);
  const chords = chosen.flatMap(({ chords }) => chords.map(({ text }) => text));
  const hits = chosen.filter(({ hits }) => hits.length).map(({ number, hits }) => `hits on ${hits.map(beat).join(", ")}${first === last ? "" : ` of bar ${number}`}`);
  const breaks = chosen.some((bar) => bar.break) ? ["the band is silent"] : [];
  const answers = chosen.some(({ answer }) => answer) ? ["the band answers"] : [];
  return [chords.length ? chords.join("  ") : "The chord before is held", ...hits, ...breaks, ...answers].join(" · ");
}

/** @param {Session} session @param {Told} sentence */
function sentenceItem(session, sentence) {
  const item = h("li", { class: sentence.whose });
  const own = sentence.whose === "own";
  const show = () =>
    fill(
      item,
      h("p", {}, sentence.text),
      sentence.whose === "found" ? null : h("span", { class: "whose" }, own ? "your remark" : "in your words"),
      h(
        "span",
        { class: "says" },
        button("Reword", change, { class: "plain", "data-keep": `word-${sentence.id}` }),
        own
          ? button("Take out", () => session.edit(edits.dropRemark(sentence.id)), { class: "plain" })
          : button("Hide", () => session.edit(edits.hideSentence(sentence.id)), { class: "plain" }),
        sentence.whose === "edited"
          ? button("As found", () => session.edit(edits.sentenceAsFound(sentence.id)), { class: "plain" })
          : null,
      ),
    );
  const change = () => {
    const text = h("textarea", { rows: 3, value: sentence.text, "aria-label": "The sentence in your words" });
    const form = h(
      "form",
      {},
      text,
      h("p", { class: "ways" }, h("button", { class: "main" }, "Keep these words"), button("Leave it", show)),
    );
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      const words = text.value.trim();
      session.edit(own ? edits.reword(sentence.id, words) : edits.sentence(sentence.id, words));
    });
    fill(item, form);
    text.focus();
  };
  show();
  return item;
}

/** @param {Device} device */
const deviceItem = (device) => h("li", { class: "short" }, h("p", {}, signs(device.short)));

/** @param {Session} session @param {Device} device */
function otherItem(session, device) {
  const other = device.runner_up[0];
  return h(
    "li",
    { class: "other" },
    h("p", {}, device.chosen ? "First reading: " : "Or read as: ", signs(other.sentence || other.short)),
    button(device.chosen ? "Back to it" : "Read it so", () => session.edit(edits.reading(device.id, !device.chosen)), {
      "data-keep": `read-${device.id}`,
    }),
  );
}

/** @param {Session} session @param {Subject} subject */
function hiddenWords(session, { first, last }) {
  const hidden = session.view.hidden.filter(({ from, to }) => from.bar <= last && to.bar >= first);
  if (!hidden.length) return null;
  return fold(
    "hidden",
    `${hidden.length} hidden`,
    hidden.map(({ id, text }) =>
      h("p", { class: "was-hidden" }, text, " ", button("Show", () => session.edit(edits.sentenceAsFound(id)), { class: "plain" })),
    ),
  );
}

/** @param {Session} session @param {Subject} subject */
function remarkForm(session, subject) {
  const text = h("textarea", { rows: 2, id: "remark", "data-keep": "remark-text" });
  const form = h(
    "form",
    {},
    h("label", { for: "remark" }, "A remark of your own here"),
    text,
    h("p", { class: "ways" }, h("button", {}, "Put it under the bar")),
  );
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    if (text.value.trim()) session.edit(edits.remark(subject, text.value.trim()));
  });
  return fold("remark", "Add a remark", form);
}
