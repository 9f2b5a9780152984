// What can be handed on from a tune: files made on demand, with how far the work is, then the download.

import * as api from "./api.js";
import { openDialog } from "./dialog.js";
import { button, fill, fold, h } from "./dom.js";

/** @typedef {import("./session.js").Session} Session */

/** What each is called and what is in it; the server knows more kinds than these are told of with its words. */
const KINDS = {
  booklet: ["Booklet", "Notation, tablature, reasons and the hard beats, to print."],
  audio: ["Audio", "The solo with its band at show tempo."],
  musicxml: ["MusicXML", "For notation programs, with strings, frets and fingers."],
  midi: ["MIDI", "For sequencers: the line and its chords."],
  lesson: ["Lesson pack", "All that students get: booklet, a page to play along, audio, film, parts."],
  page: ["Picture", "The whole solo as one long page."],
  band: ["Band", "The band alone, to play along with."],
  guitar: ["Guitar", "The guitar alone, with a click."],
  stems: ["Stems", "Every part apart."],
  sheet: ["Sheet", "The tune as text, as this desk keeps it."],
  abc: ["ABC", "The line as ABC."],
};
const FIRST = 5; // kinds that are not folded away

/** @param {Session} session */
export async function openHandOn(session) {
  const kinds = h("div", { class: "kinds", "aria-busy": "true" });
  openDialog("Hand it on", [kinds], { name: "hand-on" });
  try {
    const known = Object.keys(KINDS);
    const place = (/** @type {string} */ kind) => (known.indexOf(kind) + 1 || known.length + 1);
    const offered = (await api.exports()).sort((one, other) => place(one.kind) - place(other.kind));
    const rows = offered.map(({ kind, words, suffix }) => {
      const [name, told] = KINDS[/** @type {keyof typeof KINDS} */ (kind)] ?? [kind, words];
      const format = suffix.slice(1).toUpperCase();
      return row(session, kind, name, name.toUpperCase().startsWith(format) ? told : `${told} ${format}.`);
    });
    const count = offered.filter(({ kind }) => place(kind) <= FIRST).length;
    fill(kinds, rows.slice(0, count), fold("more-kinds", "More", rows.slice(count)));
  } catch (fault) {
    fill(kinds, h("p", { class: "refusal", role: "alert" }, /** @type {Error} */ (fault).message));
  }
  kinds.removeAttribute("aria-busy");
}

/** @param {Session} session @param {string} kind @param {string} name @param {string} words */
function row(session, kind, name, words) {
  const progress = h("progress", { max: 1, value: 0, "aria-label": `${name}: how far it is` });
  const told = h("p", { class: "told", role: "status" });
  const deed = h("div", { class: "deed" });
  const make = async () => {
    fill(deed, progress);
    told.textContent = "Making it …";
    try {
      const href = await api.exported(session.answer.name, { kind }, (done, step) => {
        progress.value = done;
        told.textContent = step ? `${step} …` : "Making it …";
      });
      const link = h("a", { href, download: "", class: "main button" }, "Download");
      fill(deed, link);
      told.textContent = "Ready.";
      link.click();
      link.focus();
    } catch (fault) {
      told.textContent = /** @type {Error} */ (fault).message;
      fill(deed, start());
    }
  };
  const start = () => button(`Make the ${name}`, make);
  fill(deed, start());
  return h("section", { class: `kind ${kind}` }, h("h3", {}, name), h("p", {}, words), deed, told);
}
