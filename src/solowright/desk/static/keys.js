// What single keys do on a tune. They can be switched off, and they are silent while something is typed.

import { openDialog } from "./dialog.js";
import { h } from "./dom.js";
import * as edits from "./edits.js";

/**
 * @typedef {import("./tune.js").Tune} Tune
 * @typedef {import("./session.js").Session} Session
 * @typedef {(view: Tune, session: Session) => void} Action
 */

const OFF = "solowright-keys-off";

/** @type {[string, string, string, Action][]} key, as it is printed, what it does, how */
const KEYS = [
  [" ", "Space", "play, stop", (view) => view.foot?.toggle()],
  ["ArrowRight", "→", "next note", (_, session) => nextNote(session, 1)],
  ["ArrowLeft", "←", "note before", (_, session) => nextNote(session, -1)],
  ["ArrowDown", "↓", "next system", (_, session) => nextSystem(session, 1)],
  ["ArrowUp", "↑", "system before", (_, session) => nextSystem(session, -1)],
  ["e", "E", "one bar more in the choice", (_, session) => widen(session, 1)],
  ["w", "W", "one bar less", (_, session) => widen(session, -1)],
  ["o", "O", "loop the chosen bars, or stop looping", (view) => view.foot?.toggleLoop()],
  ["k", "K", "keep the chosen note as it is, or free it", (_, session) => keep(session)],
  ["t", "T", "type the chosen bars anew", (view) => view.side?.retype()],
  ["f", "F", "other fingerings of the chosen bars", (view) => view.side?.compare()],
  ["c", "C", "to the choices", (view) => view.side?.enter()],
  ["Escape", "Esc", "choose nothing", (_, session) => session.choose({})],
];

export const keysOn = () => !localStorage.getItem(OFF);

/** @param {KeyboardEvent} event @returns {Action | undefined} */
export function keyAction(event) {
  const own = event.target instanceof Element ? event.target : document.body;
  const worked = own.closest("button, a, summary, input, sw-form-strip");
  if (worked && (event.key === " " || event.key.startsWith("Arrow"))) return undefined;
  const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
  return KEYS.find((row) => row[0] === key)?.[3];
}

export function openKeys() {
  const on = h("input", { type: "checkbox", id: "keys-on", checked: keysOn() });
  on.addEventListener("change", () =>
    on.checked ? localStorage.removeItem(OFF) : localStorage.setItem(OFF, "yes"),
  );
  openDialog(
    "Keys",
    [
      h(
        "table",
        { class: "keys" },
        h("thead", {}, h("tr", {}, h("th", { class: "key" }, "Key"), h("th", {}, "What it does"))),
        h(
          "tbody",
          {},
          [...KEYS, [, "Ctrl Z", "undo"], [, "Ctrl Shift Z", "redo"]].map(([, key, words]) =>
            h("tr", {}, h("td", {}, h("kbd", {}, String(key))), h("td", {}, String(words))),
          ),
        ),
      ),
      h("p", {}, h("label", { for: "keys-on", class: "tick" }, on, " Single keys work while nothing is typed")),
    ],
    { name: "keys-sheet" },
  );
}

/** @param {Session} session @param {1 | -1} way */
function nextNote(session, way) {
  const { notes } = session.view;
  if (!notes.length) return;
  const { note, bars } = session.chosen;
  let next = note === null ? notes.findIndex((each) => !bars || each.bar >= bars.first) : note + way;
  next = Math.min(Math.max(next, 0), notes.length - 1);
  session.choose({ note: next });
}

/** @param {Session} session @param {1 | -1} way */
function nextSystem(session, way) {
  const { systems, bars } = session.view;
  const now = session.chosen.bars?.first ?? bars[0]?.number ?? 0;
  const at = systems.findIndex(({ first, last }) => first <= now && now <= last);
  const next = systems[Math.min(Math.max(at + (session.chosen.bars ? way : 0), 0), systems.length - 1)];
  if (next) session.choose({ bars: { first: next.first, last: next.first } });
}

/** @param {Session} session @param {1 | -1} way */
function widen(session, way) {
  const { bars } = session.chosen;
  if (!bars) return nextSystem(session, 1);
  const last = Math.min(Math.max(bars.last + way, bars.first), session.view.bars.at(-1)?.number ?? bars.last);
  session.choose({ bars: { first: bars.first, last } });
}

/** @param {Session} session */
function keep(session) {
  const { note } = session.chosen;
  if (note !== null) session.edit(session.view.notes[note].locked ? edits.free(note) : edits.lock(note));
}
