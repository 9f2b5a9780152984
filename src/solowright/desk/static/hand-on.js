// What can be handed on from a tune: files made on demand, with how far the work is, then the download.

import * as api from "./api.js";
import { openDialog } from "./dialog.js";
import { button, fill, h } from "./dom.js";

/** @typedef {import("./session.js").Session} Session */

// [kind, what it is, what is in it]
const KINDS = [
  ["booklet", "Booklet", "PDF: notation, tablature, reasons, the hard beats. To print."],
  ["audio", "Audio", "WAV: the solo with the band at show tempo."],
  ["musicxml", "MusicXML", "For notation programs, with strings, frets and fingers."],
  ["midi", "MIDI", "For sequencers: the line and its chords."],
  ["sheet", "Sheet", "Text: the tune as this desk keeps it."],
];

/** @param {Session} session */
export function openHandOn(session) {
  openDialog(
    "Hand it on",
    [
      h("div", { class: "kinds" }, KINDS.map(([kind, name, words]) => row(session, kind, name, words))),
    ],
    { name: "hand-on" },
  );
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
