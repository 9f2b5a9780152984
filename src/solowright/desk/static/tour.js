// A short walk over the desk at the first start: five stops, each beside the thing it tells of.

import { button, fill, h, takesTyping } from "./dom.js";

const KEY = "solowright-toured";

// [what it stands beside, heading, words]
const STOPS = [
  [
    ".strip",
    "The whole form in one row",
    "A cell a bar: its chord, the band's hits as notches, breaks as gaps. The fuller a cell, the harder its bar. Click a bar to go there; drag over several to choose them.",
  ],
  [
    ".page",
    "The page, and the hand under it",
    "Notation over tablature. Under each system runs the hand path: the index finger's fret against time, and what each shift costs.",
  ],
  [
    "sw-side",
    "Why, and what else",
    "Point at a bar or a note and its reasons stand here. Choose a note and you get its other places on the neck, with what each does to the limit tempo.",
  ],
  [
    "sw-hearing",
    "Hear it",
    "Play, loop the chosen bars, slow them down, take the guitar or the band away, and set the gain until the slurs speak.",
  ],
  [
    ".more",
    "Practise it, hand it on",
    "The hard beats as a ladder; booklet, audio, MusicXML and MIDI as files. Everything you change can be undone, tomorrow too.",
  ],
];

/** @param {HTMLElement} view */
export function showTourOnce(view) {
  if (!localStorage.getItem(KEY)) startTour(view);
}

/** @param {HTMLElement} view */
export function startTour(view) {
  const before = document.activeElement;
  const card = h("div", { class: "tour", role: "dialog", "aria-labelledby": "tour-title", tabIndex: -1 });
  let at = 0;

  const unmark = () => view.querySelectorAll(".toured").forEach((place) => place.classList.remove("toured"));
  const end = (back = true) => {
    localStorage.setItem(KEY, "yes");
    unmark();
    card.remove();
    window.removeEventListener("resize", lay);
    view.removeEventListener("focusin", leave);
    if (back && before instanceof HTMLElement && before.isConnected) before.focus();
  };
  /** Who begins to type has gone to work: the card would be in the way. @param {FocusEvent} event */
  const leave = ({ target }) => {
    if (!takesTyping(target)) return;
    end(false);
  };
  /** @param {number} stop */
  const go = (stop) => {
    at = stop;
    unmark();
    const [place, title, words] = STOPS[at];
    view.querySelector(place)?.classList.add("toured");
    const last = at === STOPS.length - 1;
    fill(
      card,
      h("p", { class: "count" }, `${at + 1} of ${STOPS.length}`),
      h("h2", { id: "tour-title" }, title),
      h("p", {}, words),
      h(
        "p",
        { class: "ways" },
        button(last ? "Begin" : "On", () => (last ? end() : go(at + 1)), { class: "main", "data-keep": "on" }),
        at ? button("Back", () => go(at - 1), { "data-keep": "back" }) : null,
        last ? null : button("Skip the tour", () => end(), { class: "plain" }),
      ),
    );
    lay();
    /** @type {HTMLElement | null} */ (card.querySelector(".main"))?.focus({ preventScroll: true });
  };
  const lay = () => standBeside(card, view.querySelector(STOPS[at][0]));

  card.addEventListener("keydown", (event) => {
    if (event.key === "Escape") end();
    event.stopPropagation();
  });
  window.addEventListener("resize", lay);
  view.addEventListener("focusin", leave);
  view.append(card);
  go(0);
}

/** Below its place, or above, or in the middle of it: wherever the card fits. @param {HTMLElement} card @param {Element | null} place */
function standBeside(card, place) {
  const gap = 12;
  const box = place?.getBoundingClientRect() ?? new DOMRect(0, 0, innerWidth, innerHeight);
  const { offsetWidth: wide, offsetHeight: high } = card;
  let top = box.top + Math.max(gap, (box.height - high) / 2);
  if (box.bottom + gap + high < innerHeight) top = box.bottom + gap;
  else if (box.top - gap - high > 0) top = box.top - gap - high;
  const left = Math.min(Math.max(gap, box.left + (box.width - wide) / 2), innerWidth - wide - gap);
  card.style.left = `${Math.max(gap, left)}px`;
  card.style.top = `${Math.min(Math.max(gap, top), innerHeight - high - gap)}px`;
}
