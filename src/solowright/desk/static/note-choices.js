// A chosen note: where it can lie on the neck and what each place costs, how it is struck, which finger.

import * as api from "./api.js";
import { fill, h } from "./dom.js";
import * as edits from "./edits.js";
import { load, upTo } from "./words.js";

/** @typedef {import("./side.js").Side} Side */

const ENTRIES = /** @type {const} */ ([
  ["pick", "picked"],
  ["hammer", "hammered on"],
  ["pull", "pulled off"],
  ["slide", "slid into"],
  ["tap", "tapped"],
  ["harmonic", "harmonic"],
]);
const FINGERS = [
  ["1", "index"],
  ["2", "middle"],
  ["3", "ring"],
  ["4", "little"],
];
/** @type {[edits.Fixed, string][]} */
const FIXED = [
  ["place", "place"],
  ["finger", "finger"],
  ["entry", "striking"],
];

/**
 * @param {Side} side
 * @param {number} index
 * @returns {HTMLElement[]}
 */
export function noteChoices(side, index) {
  const { session } = side;
  const note = session.view.notes[index];
  const before = side.querySelector(`.places[data-note="${index}"]`);
  const places = h(
    "div",
    { class: "places", "data-note": index, "aria-busy": "true" },
    before ? [...before.childNodes] : h("p", { class: "hint" }, "Looking along the neck …"),
  );
  void showPlaces(places, side, index);
  return [
    h(
      "div",
      { class: "how" },
      choice("Finger", "finger", FINGERS, String(note.finger), (finger) =>
        session.edit(edits.finger(index, Number(finger))),
      ),
      choice("Struck", "entry", ENTRIES, note.entry, (entry) => session.edit(edits.entry(index, entry))),
    ),
    h("h3", {}, "Where it lies"),
    places,
    h("p", { class: "hint" }, "Load: how much of its time the hand needs there; 1 is all of it. Up to: how fast the whole tune then goes."),
    kept(side, index),
  ];
}

/** What of a note stays as it is while the rest is found again. @param {Side} side @param {number} index */
function kept({ session }, index) {
  const { fixed } = session.view.notes[index];
  return h(
    "fieldset",
    { class: "words" },
    h("legend", {}, "Kept as it is, whatever changes around it"),
    FIXED.map(([what, words]) => {
      const on = fixed.includes(what);
      return h(
        "label",
        {},
        h("input", {
          type: "checkbox",
          checked: on,
          "data-keep": `fixed-${what}`,
          onchange: () => session.edit(on ? edits.free(index, [what]) : edits.lock(index, [what])),
        }),
        h("span", {}, words),
      );
    }),
  );
}

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
    fill(list, h("fieldset", {}, legend, places.map((place) => placeOption(session, index, place))));
    side.offer(index, places.filter(({ here }) => !here));
  } catch (fault) {
    list.removeAttribute("aria-busy");
    fill(list, h("p", { class: "refusal" }, /** @type {Error} */ (fault).message));
  }
}

/** @param {Side["session"]} session @param {number} index @param {api.NeckPlace} place */
function placeOption(session, index, place) {
  const { here, string, fret } = place;
  return h(
    "label",
    { class: here ? "place here" : "place" },
    h("input", {
      type: "radio",
      name: "place",
      checked: here,
      "data-keep": `place-${string}-${fret}`,
      onchange: () => session.edit(edits.place(index, place)),
    }),
    h("span", { class: "where" }, `string ${string}, ${fret ? `fret ${fret}` : "open"}`),
    h("span", { class: "cost" }, here ? "here now" : place.change),
    h("span", { class: `weight ${load(place.load).replaceAll(" ", "-")}` }, `load ${place.load.toFixed(2)}`),
    h("span", { class: "limit" }, upTo(place.limit_tempo)),
  );
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
