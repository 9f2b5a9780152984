// Beside the page: why the bar or note under the pointer is as it is, and what can be done with what is chosen.

import "/static/web/neck.js";
import { barChoices, barDeeds } from "./bar-choices.js";
import { compareFingerings } from "./compare.js";
import { button, fill, h } from "./dom.js";
import * as edits from "./edits.js";
import { noteChoices } from "./note-choices.js";
import { retype } from "./retype.js";
import { reasons } from "./telling.js";
import { Bars, bars, beat, signs } from "./words.js";

/** @typedef {import("./session.js").Session} Session */

export class Side extends HTMLElement {
  /** @type {Session} */
  session = /** @type {any} */ (null);
  /** @type {{bar: number | null, note: number | null}} */
  under = { bar: null, note: null };
  /** @type {HTMLElement | null} a panel that has taken the place of the choices, such as retyping */
  taken = null;
  /** @type {{note: number, places: import("./api.js").NeckPlace[]}} */
  offered = { note: -1, places: [] };

  connectedCallback() {
    this.setAttribute("role", "complementary");
    this.setAttribute("aria-label", "Reasons and choices");
    this.heading = h("h2", {});
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
      h("div", { class: "side-head" }, this.heading, this.fold),
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
    fill(/** @type {HTMLElement} */ (this.why), reasons(this.session, subject));
  }

  showChoices() {
    const { chosen, view } = this.session;
    const choices = /** @type {HTMLElement} */ (this.choices);
    this.classList.toggle("of-note", chosen.note !== null);
    fill(/** @type {HTMLElement} */ (this.deeds), chosen.note === null && chosen.bars ? barDeeds(this, chosen.bars) : null);
    if (chosen.note !== null) fill(choices, noteChoices(this, chosen.note));
    else if (chosen.bars) fill(choices, barChoices(this, chosen.bars));
    else {
      const empty = view.notes.length === 0;
      fill(
        choices,
        h(
          "p",
          { class: "hint" },
          empty
            ? "The bars are empty. Choose the first ones and type what you play there."
            : "Choose a note for its other places on the neck, or bars in the strip to loop and change them.",
        ),
        empty
          ? button(
              `Choose ${bars(view.bars[0].number, view.bars[Math.min(1, view.bars.length - 1)].number)}`,
              () =>
                this.session.choose({
                  bars: { first: view.bars[0].number, last: view.bars[Math.min(1, view.bars.length - 1)].number },
                }),
              { class: "main" },
            )
          : null,
      );
    }
  }

  /**
   * Puts a panel in the place of the choices until it is left.
   * @param {HTMLElement} panel
   */
  take(panel) {
    this.taken = panel;
    this.open(true);
    this.deeds?.replaceChildren();
    fill(/** @type {HTMLElement} */ (this.choices), panel);
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

  leave() {
    this.taken = null;
    this.showChoices();
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
  return Bars(first, last);
}

customElements.define("sw-side", Side);
