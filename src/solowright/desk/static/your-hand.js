// Whose hand it is: reach, speed and taste of the player, kept in one file beside the tunes. Everything on
// the desk is fingered for it.

import * as api from "./api.js";
import { openDialog } from "./dialog.js";
import { button, fill, h, labelled } from "./dom.js";
import { say } from "./say.js";

/**
 * @typedef {import("./api.js").Profile} Profile
 * @typedef {{row: HTMLElement, read: () => unknown, clear: () => void}} Asked  one thing that is asked: null is "as usual"
 */

const NUMBERS = /** @type {const} */ ([
  ["reach", "Reach", "mm along the neck, from index to little finger at full stretch"],
  ["pick_rate", "Picking", "notes a second at your fastest"],
  ["frets", "Frets", "on your guitar"],
]);
const FINGERS = ["index", "middle", "ring", "little"];

/** @param {string | null} tune  the name of the tune that must stay playable */
export async function openYourHand(tune = null) {
  const form = h("form", { "aria-busy": "true", noValidate: true });
  const dialog = openDialog("Your hand", [form], { name: "your-hand" });
  try {
    draw(form, await api.profile(), tune, () => dialog.close());
  } catch (fault) {
    fill(form, h("p", { class: "refusal", role: "alert" }, /** @type {Error} */ (fault).message));
  }
  form.removeAttribute("aria-busy");
}

/** @param {HTMLFormElement} form @param {Profile} profile @param {string | null} tune @param {() => void} close */
function draw(form, profile, tune, close) {
  const asked = questions(profile);
  const told = h("p", { class: "refusal", role: "alert" }, profile.problem ?? "");
  fill(
    form,
    h("p", { class: "hint" }, "Every tune on the desk is fingered for this hand, unless its own sheet says otherwise. What you leave empty is as usual."),
    told,
    h("div", { class: "row" }, NUMBERS.map(([key]) => asked[key].row)),
    Object.entries(asked).filter(([key]) => !(key in profile.bounds)).map(([, { row }]) => row),
    h(
      "p",
      { class: "ways" },
      h("button", { class: "main" }, "Finger for this hand"),
      button("All as usual", () => Object.values(asked).forEach(({ clear }) => clear())),
    ),
    h("p", { class: "hint" }, `Kept as ${profile.file} beside your tunes.`),
  );
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    form.querySelectorAll("[aria-invalid]").forEach((field) => field.removeAttribute("aria-invalid"));
    const said = Object.fromEntries(Object.entries(asked).map(([key, { read }]) => [key, read()]));
    try {
      await api.keepProfile(said, tune);
      close();
      say("Everything is fingered for your hand now.");
    } catch (fault) {
      const sentence = /** @type {Error} */ (fault).message.replace(`${profile.file}: `, "");
      told.textContent = sentence;
      const field = form.querySelector(`[name="${CSS.escape(sentence.split(" ")[0])}"]`);
      if (!(field instanceof HTMLInputElement)) return;
      field.setAttribute("aria-invalid", "true");
      field.focus();
    }
  });
}

/** @param {Profile} profile @returns {Record<string, Asked>} */
function questions({ said, usual, bounds }) {
  const numbers = NUMBERS.map(([key, words, hint]) => {
    const [low, high] = bounds[key];
    const name = labelled(words, typed(key, said[key], `usual: ${usual[key]}`), `${hint}; ${low} to ${high}`);
    return [key, asking(name, (text) => (text === "" ? null : toNumber(text)))];
  });
  const positions = typed("positions", /** @type {number[]} */ (said.positions ?? []).join(", "), "anywhere");
  const likes = labelled("Positions you like", positions, "where the index finger goes, such as 5, 12");
  return {
    ...Object.fromEntries(numbers),
    positions: asking(likes, (text) => (text === "" ? null : text.split(/[\s,;]+/).filter(Boolean).map(toNumber))),
    weak_fingers: fingers(/** @type {number[]} */ (said.weak_fingers ?? [])),
    open_strings: words("open_strings", "Open strings", ["like", "neutral", "avoid"], said.open_strings ?? "neutral", "neutral"),
    legato: words("legato", "Slurs", ["little", "some", "much"], said.legato ?? "some", "some"),
    left_handed: tick("left_handed", "Left-handed: pictures of the neck are mirrored", said.left_handed === true),
    taps: tick("taps", "I tap: taps may stand where nothing is written", said.taps === true),
  };
}

/** What can't be read as a number goes as it is: the server says what is wrong with it. @param {string} text */
function toNumber(text) {
  const number = Number(text.replace(",", "."));
  return Number.isFinite(number) ? number : text;
}

/** @param {string} key @param {unknown} value @param {string} placeholder */
function typed(key, value, placeholder) {
  const wishes = { id: `hand-${key}`, name: key, value: String(value ?? ""), placeholder, autocomplete: "off", inputMode: "decimal" };
  return h("input", wishes);
}

/** @param {HTMLElement} row @param {(text: string) => unknown} read @returns {Asked} */
function asking(row, read) {
  const field = /** @type {HTMLInputElement} */ (row.querySelector("input"));
  return { row, read: () => read(field.value.trim()), clear: () => (field.value = "") };
}

/** @param {string} name @param {string} title @param {string[]} options @param {unknown} now @param {string} usual @returns {Asked} */
function words(name, title, options, now, usual) {
  const inputs = options.map((value) => h("input", { type: "radio", name, value, checked: value === now }));
  const read = () => inputs.find(({ checked }) => checked)?.value ?? usual;
  return {
    row: wordRow(title, inputs, options),
    read: () => (read() === usual ? null : read()),
    clear: () => inputs.forEach((input) => (input.checked = input.value === usual)),
  };
}

/** @param {number[]} weak @returns {Asked} */
function fingers(weak) {
  const inputs = FINGERS.map((_, i) => h("input", { type: "checkbox", checked: weak.includes(i + 1) }));
  const read = () => inputs.flatMap(({ checked }, i) => (checked ? [i + 1] : []));
  return {
    row: wordRow("Weak fingers", inputs, FINGERS),
    read: () => (read().length ? read() : null),
    clear: () => inputs.forEach((input) => (input.checked = false)),
  };
}

/** @param {string} title @param {HTMLInputElement[]} inputs @param {string[]} said */
function wordRow(title, inputs, said) {
  const labels = inputs.map((input, i) => h("label", {}, input, h("span", {}, said[i])));
  return h("fieldset", { class: "words" }, h("legend", {}, title), labels);
}

/** @param {string} key @param {string} said @param {boolean} on @returns {Asked} */
function tick(key, said, on) {
  const box = h("input", { type: "checkbox", name: key, checked: on });
  const row = h("p", {}, h("label", { class: "tick" }, box, ` ${said}`));
  return { row, read: () => box.checked || null, clear: () => (box.checked = false) };
}
