// Sentences to the player: read out by screen readers, shown for a while, with at most one thing to do.

import { button, fill, h } from "./dom.js";

const STAYS = 9000; // ms; a sentence with something to do stays until it is closed

/** @type {number | undefined} */
let going;

/**
 * @param {string} sentence
 * @param {{words: string, action: () => void}} [offer]
 * @param {"quiet" | "told" | "refused"} [tone]  quiet: for screen readers only
 */
export function say(sentence, offer, tone = "told") {
  const place = /** @type {HTMLElement} */ (document.getElementById("said"));
  window.clearTimeout(going);
  place.className = tone;
  fill(
    place,
    h("p", {}, sentence),
    offer ? button(offer.words, () => (hush(), offer.action())) : null,
    tone === "quiet" ? null : button("Close", hush, { class: "plain" }),
  );
  if (!offer) going = window.setTimeout(hush, STAYS + sentence.length * 40);
}

export function hush() {
  const place = /** @type {HTMLElement} */ (document.getElementById("said"));
  window.clearTimeout(going);
  place.className = "";
  place.replaceChildren();
}
