// Beside the page: why the bar or note under the pointer is as it is, and what can be done with what is chosen.

import "/static/web/neck.js";
import { barChoices, barDeeds } from "./bar-choices.js";
import { compareFingerings } from "./compare.js";
import { button, fill, h, takesTyping } from "./dom.js";
import * as edits from "./edits.js";
import { noteChoices } from "./note-choices.js";
import { retype } from "./retype.js";
import { facts, reasons } from "./telling.js";
import { bars, barsTitle, beat, signs } from "./words.js";

/** @typedef {import("./session.js").Session} Session */

export class Side extends HTMLElement {
  /** @type {Session} */
  session = /** @type {any} */ (null);
  /** @type {{bar: number | null, note: number | null}} */
  under = { bar: null, note: null };
  /** @type {HTMLElement | null} a panel that has taken the place of the choices, such as retyping */
  taken = null;
  /** @type {((chosen: import("./session.js").Chosen) => unknown) | null} what that panel does when something else is chosen */
  yields = null;
  /** @type {{note: number, places: import("./api.js").NeckPlace[]}} */
  offered = { note: -1, places: [] };

  connectedCallback() {
    this.setAttribute("role", "complementary");
    this.setAttribute("aria-label", "Reasons and choices");
    this.heading = h("h2", {});
    this.what = h("p", { class: "what" });
    this.neck = /** @type {any} */ (document.createElement("sw-neck"));
    this.deeds = h("div", { class: "deeds" });
    this.why = h("section", { class: "why", "aria-label": "Reasons" });
    this.choices = h("section", { class: "choices", "aria-label": "Choices" });
    this.neck.addEventListener("sw-choose-place", (/** @type {CustomEvent<{place: number}>} */ { detail }) => {
      const { note, places } = this.offered;
      this.session.edit(edits.place(note, places[detail.place]));
    });
    this.fold = button("More", () => this.open(!this.classList.contains("open")), {
      class: "fold plain",
      "aria-expanded": "false",
    });
    fill(
      this,
      h("div", { class: "side-head" }, this.heading, this.fold, this.what),
      h("div", { class: "side-body" }, this.deeds, this.why, this.choices),
      h("div", { class: "side-neck" }, this.neck),
    );
  }

  /** On a narrow window the side is a drawer. @param {boolean} open */
  open(open) {
    this.classList.toggle("open", open);
    const fold = /** @type {HTMLElement} */ (this.fold);
    fold.textContent = open ? "Less" : "More";
    fold.setAttribute("aria-expanded", String(open));
  }

  /** Everything new: another view, or something else chosen, which counts until the pointer moves on. */
  show() {
    this.under = { bar: null, note: null };
    this.neck.view = this.session.view;
    const { note } = this.session.chosen;
    if (note !== this.neck.note) this.offer(-1, []);
    this.neck.note = note;
    this.showReasons();
    if (!this.taken) this.showChoices();
  }

  /**
   * Shows where else a note can lie, on the neck itself.
   * @param {number} note
   * @param {import("./api.js").NeckPlace[]} places
   */
  offer(note, places) {
    this.offered = { note, places };
    this.neck.places = places;
  }

  /** @param {{bar: number | null, note: number | null}} point */
  point(point) {
    this.under = point;
    if (!this.why?.contains(document.activeElement)) this.showReasons();
  }

  /** @param {number} time */
  follow(time) {
    this.neck.time = time;
  }

  /** What is under the pointer, or else what is chosen. */
  subject() {
    const { note, bars } = this.session.chosen;
    if (this.under.note !== null) return { note: this.under.note, first: 0, last: 0 };
    if (this.under.bar !== null) return { note: null, first: this.under.bar, last: this.under.bar };
    if (note !== null) return { note, first: 0, last: 0 };
    return bars ? { note: null, ...bars } : null;
  }

  showReasons() {
    const { activeElement } = document;
    if (activeElement instanceof HTMLTextAreaElement && this.why?.contains(activeElement)) return; // words on their way
    const subject = this.subject();
    const heading = /** @type {HTMLElement} */ (this.heading);
    heading.textContent = subject ? name(this.session, subject) : "The whole solo";
    /** @type {HTMLElement} */ (this.what).textContent = facts(this.session, subject);
    fill(/** @type {HTMLElement} */ (this.why), reasons(this.session, subject));
  }

  showChoices() {
    const { chosen, view } = this.session;
    const choices = /** @type {HTMLElement} */ (this.choices);
    this.classList.toggle("of-note", chosen.note !== null);
    fill(/** @type {HTMLElement} */ (this.deeds), chosen.note === null && chosen.bars ? barDeeds(this, chosen.bars) : null);
    if (chosen.note !== null) fill(choices, noteChoices(this, chosen.note));
    else if (chosen.bars) fill(choices, barChoices(this, chosen.bars));
    else if (view.notes.length) {
      const hint = "Choose a note for its other places on the neck, or bars in the strip to loop and change them.";
      fill(choices, h("p", { class: "hint" }, hint));
    } else this.showBeginning();
  }

  /** What to do first with bars that are still empty. */
  showBeginning() {
    const { view } = this.session;
    const [{ number: first }, { number: last } = view.bars[0]] = view.bars;
    const begin = () => {
      this.session.choose({ bars: { first, last } });
      this.retype();
    };
    fill(
      /** @type {HTMLElement} */ (this.choices),
      h("p", { class: "hint" }, "The bars are empty. Type what you play there; fingers and reasons follow."),
      button(`Type ${bars(first, last)}`, begin, { class: "main" }),
    );
  }

  /**
   * Puts a panel in the place of the choices until it is left.
   * @param {HTMLElement} panel
   * @param {(chosen: import("./session.js").Chosen) => unknown} yields  is told when something else is chosen
   */
  take(panel, yields) {
    this.taken = panel;
    this.yields = yields;
    this.open(true);
    this.deeds?.replaceChildren();
    fill(/** @type {HTMLElement} */ (this.choices), panel);
    panel.addEventListener("keydown", (event) => {
      if (event.key !== "Escape" || takesTyping(event.target)) return;
      event.stopPropagation();
      panel.querySelector(".panel-head button")?.dispatchEvent(new MouseEvent("click"));
    });
    const first = panel.querySelector("textarea, input, button:not(.plain)");
    if (first instanceof HTMLElement) first.focus({ preventScroll: true });
  }

  retype() {
    const { bars } = this.session.chosen;
    if (bars) retype(this, bars);
  }

  compare() {
    const { bars } = this.session.chosen;
    if (bars) compareFingerings(this, bars);
  }

  /** Moves the keyboard to what can be chosen. */
  enter() {
    this.open(true);
    const first = this.querySelector(".side-body > .deeds button, .choices input");
    if (first instanceof HTMLElement) first.focus();
  }

  /** Something else is chosen: it is shown from its top, and the panel that is there may have to give way. */
  yield() {
    for (const place of [this, this.querySelector(".side-body")]) place?.scrollTo(0, 0);
    this.yields?.(this.session.chosen);
  }

  /** The choices are back in the place of a panel, if it is still there. @param {HTMLElement} panel */
  release(panel) {
    if (this.taken !== panel) return;
    this.taken = this.yields = null;
    this.showChoices();
  }

  leave() {
    if (this.taken) this.release(this.taken);
    const first = this.querySelector(".side-body > .deeds button, .choices input");
    if (first instanceof HTMLElement) first.focus({ preventScroll: true });
  }
}

/**
 * @param {Session} session
 * @param {{note: number | null, first: number, last: number}} subject
 */
function name({ view }, { note, first, last }) {
  if (note !== null) {
    const { name, bar, beat: at } = view.notes[note];
    return `${signs(name)} in bar ${bar}, beat ${beat(at)}`;
  }
  return barsTitle(first, last);
}

customElements.define("sw-side", Side);
