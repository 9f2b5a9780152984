// A chosen note: where it can lie on the neck and what each place costs, how it is struck, which finger.

import * as api from "./api.js";
import { button, fill, h } from "./dom.js";
import * as edits from "./edits.js";
import { load, tempo } from "./words.js";

/** @typedef {import("./side.js").Side} Side */

const ENTRIES = /** @type {const} */ ([
  ["pick", "picked"],
  ["hammer", "hammered on"],
  ["pull", "pulled off"],
  ["slide", "slid into"],
  ["tap", "tapped"],
  ["harmonic", "harmonic"],
]);
const FINGERS = ["open", "index", "middle", "ring", "little"];

/**
 * @param {Side} side
 * @param {number} index
 * @returns {HTMLElement[]}
 */
export function noteChoices(side, index) {
  const { session } = side;
  const note = session.view.notes[index];
  const places = h("div", { class: "places", "aria-busy": "true" }, h("p", { class: "hint" }, "Looking along the neck …"));
  showPlaces(places, side, index);
  return [
    h(
      "div",
      { class: "keep" },
      button(
        note.locked ? "Free this note" : "Keep it as it is",
        () => session.edit(note.locked ? edits.free(index) : edits.lock(index)),
        { "aria-pressed": String(note.locked), "data-keep": "lock" },
      ),
    ),
    h("h3", {}, "Where it lies"),
    places,
    choice("How it is struck", "entry", ENTRIES, note.entry, (entry) => session.edit(edits.entry(index, entry))),
    choice(
      "Finger",
      "finger",
      FINGERS.map((words, finger) => [String(finger), words]).slice(1),
      String(note.finger),
      (finger) => session.edit(edits.finger(index, Number(finger))),
    ),
  ];
}

/** @param {number} string */
const stringWords = (string) => `string ${string}`;

/**
 * @param {HTMLElement} list
 * @param {Side} side
 * @param {number} index
 */
async function showPlaces(list, side, index) {
  const { session } = side;
  const { revision } = session.answer;
  try {
    const places = await api.places(session.answer.name, index);
    if (session.answer.revision !== revision || !list.isConnected) return;
    list.removeAttribute("aria-busy");
    const legend = h("legend", { class: "hidden" }, "Places on the neck");
    const options = places.map((place) => {
      const { here } = place;
      const input = h("input", {
        type: "radio",
        name: "place",
        checked: here,
        disabled: !place.possible,
        "data-keep": `place-${place.string}-${place.fret}`,
        onchange: () => session.edit(edits.place(index, place)),
      });
      return h(
        "label",
        { class: here ? "place here" : "place" },
        input,
        h("span", { class: "where" }, `${stringWords(place.string)}, fret ${place.fret}`),
        h("span", { class: "cost" }, here ? "here" : place.change),
        h("span", { class: `weight ${load(place.load).replaceAll(" ", "-")}` }, `load ${place.load.toFixed(2)}`),
        h("span", { class: "limit" }, place.limit_tempo ? `limit ${tempo(place.limit_tempo)}` : "no limit"),
      );
    });
    fill(list, h("fieldset", {}, legend, options));
  } catch (fault) {
    list.removeAttribute("aria-busy");
    fill(list, h("p", { class: "refusal" }, /** @type {Error} */ (fault).message));
  }
}

/**
 * A row of words of which one holds.
 * @param {string} title
 * @param {string} name
 * @param {readonly (readonly string[])[]} options  [value, words]
 * @param {string} now
 * @param {(value: string) => void} take
 */
export function choice(title, name, options, now, take) {
  return h(
    "fieldset",
    { class: "words" },
    h("legend", {}, title),
    options.map(([value, words]) =>
      h(
        "label",
        {},
        h("input", {
          type: "radio",
          name,
          value,
          checked: value === now,
          "data-keep": `${name}-${value}`,
          onchange: () => take(value),
        }),
        h("span", {}, words),
      ),
    ),
  );
}
