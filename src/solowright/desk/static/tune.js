// The view of a tune: strip over page over foot, and beside them what is chosen or under the pointer.

import "/static/web/form-strip.js";
import "/static/web/pages.js";
import { barAt } from "/static/web/music.js";
import * as api from "./api.js";
import { button, fill, h, takesTyping } from "./dom.js";
import { openHandOn } from "./hand-on.js";
import "./hearing.js";
import { openKeys, keysOn, keyAction } from "./keys.js";
import { lightNow, lightWords, nextLight } from "./light.js";
import { openPractice } from "./practice.js";
import { keptDraft, retype } from "./retype.js";
import { say } from "./say.js";
import { Session } from "./session.js";
import "./side.js";
import { showTourOnce, startTour } from "./tour.js";
import { count, tempo } from "./words.js";
import { openYourHand } from "./your-hand.js";

const NARROW = window.matchMedia("(max-width: 599px)");

/** How wide systems are laid, in points: for a phone they hold fewer bars, so that they can be read. */
const systemWidth = () => (NARROW.matches ? 270 : 500);

export class Tune extends HTMLElement {
  async connectedCallback() {
    const name = this.getAttribute("name") ?? "";
    fill(this, h("p", { class: "opening", role: "status" }, `Laying out ${name} …`));
    try {
      const width = systemWidth();
      const answer = await api.tune(name, width);
      if (this.isConnected) this.lay(new Session(answer, width));
    } catch (fault) {
      if (!(fault instanceof Error)) throw fault;
      fill(
        this,
        h(
          "div",
          { class: "opening" },
          h("p", { class: "refusal", role: "alert" }, fault.message),
          h("p", { class: "ways" }, h("a", { href: "#/" }, "All tunes"), button("Try again", () => this.connectedCallback()), button("Your hand", () => openYourHand())),
        ),
      );
    }
  }

  disconnectedCallback() {
    this.session?.close();
    this.leave?.abort();
  }

  /** @param {Session} session */
  lay(session) {
    this.session = session;
    this.leave = new AbortController();
    const { signal } = this.leave;
    this.title = "";
    this.head = h("header", { class: "tune-head" });
    this.strip = /** @type {import("/static/web/form-strip.js").FormStrip} */ (document.createElement("sw-form-strip"));
    this.pages = /** @type {import("/static/web/pages.js").Pages} */ (document.createElement("sw-pages"));
    this.side = /** @type {import("./side.js").Side} */ (document.createElement("sw-side"));
    this.foot = /** @type {import("./hearing.js").Hearing} */ (document.createElement("sw-hearing"));
    this.side.session = session;
    this.foot.session = session;
    fill(
      this,
      this.head,
      h("nav", { class: "strip", "aria-label": "The form" }, this.strip),
      h("main", { class: "page", id: "page", tabIndex: -1 }, this.pages),
      this.side,
      this.foot,
    );
    session.addEventListener("changed", () => this.show(), { signal });
    session.addEventListener("arc", () => this.showArc(), { signal });
    session.addEventListener("chosen", () => this.goToChosen(), { signal });
    session.addEventListener("waiting", () => this.classList.toggle("waiting", session.waiting > 0), { signal });
    session.addEventListener("news", (event) => say(/** @type {CustomEvent} */ (event).detail), { signal });
    session.addEventListener("refused", (event) => this.refuse(/** @type {CustomEvent} */ (event).detail), { signal });
    this.listen(signal);
    this.show();
    const draft = keptDraft(session.answer.name);
    if (draft) {
      session.choose({ bars: { first: draft.first, last: draft.last } });
      void retype(this.side, draft, draft);
      return;
    }
    if (session.view.notes.length) showTourOnce(this);
    else this.side.open(true); // what to do first stands there, and there is little to tour yet
  }

  /** @param {AbortSignal} signal */
  listen(signal) {
    const session = /** @type {Session} */ (this.session);
    /** @param {string} name @param {(detail: any) => void} heard */
    const on = (name, heard) =>
      this.addEventListener(name, (event) => heard(/** @type {CustomEvent} */ (event).detail), { signal });
    on("sw-choose-note", ({ note }) => {
      if (note !== null) this.side?.open(true);
      session.choose({ note });
    });
    on("sw-choose-bars", ({ first, last }) => session.choose({ bars: first === null ? null : { first, last } }));
    on("sw-point", (point) => this.side?.point(point));
    on("sw-time", (detail) => this.follow(detail));
    on("sw-seek", ({ time }) => this.goTo(time));
    window.addEventListener("keydown", (event) => this.key(event), { signal });
    NARROW.addEventListener("change", () => session.lay(systemWidth()), { signal });
  }

  /** The music and the choice go to a bar; a choice that is being looped stays. @param {number} time */
  goTo(time) {
    const session = /** @type {Session} */ (this.session);
    const { number } = session.view.bars[barAt(session.view, time)];
    const { bars } = session.chosen;
    this.foot?.seek(time);
    if (this.foot?.loops && bars && bars.first <= number && number <= bars.last) return;
    session.choose({ bars: { first: number, last: number } });
  }

  /** What is chosen is shown; in silence the music waits at a chosen note. */
  goToChosen() {
    const { chosen, view } = /** @type {Session} */ (this.session);
    if (chosen.note !== null && !this.foot?.player?.playing) this.foot?.seek(view.notes[chosen.note].time);
    this.side?.yield();
    this.showChoice();
  }

  show() {
    const { view, undo, redo } = /** @type {Session} */ (this.session).answer;
    document.title = `${view.title} · Solowright`;
    this.showHead(view, undo, redo);
    /** @type {any} */ (this.strip).view = view;
    /** @type {any} */ (this.pages).view = view;
    this.showChoice();
  }

  /** The arc comes a little after the edit that it belongs to. */
  showArc() {
    /** @type {any} */ (this.strip).view = /** @type {Session} */ (this.session).view;
    this.showChosenBars();
    this.side?.showReasons();
  }

  /** @param {api.View} view @param {boolean} undo @param {boolean} redo */
  showHead(view, undo, redo) {
    const session = /** @type {Session} */ (this.session);
    fill(
      /** @type {HTMLElement} */ (this.head),
      h("a", { href: "#/", class: "back", "data-keep": "back" }, "Tunes"),
      h(
        "div",
        { class: "name" },
        h("h1", {}, view.title),
        h("p", { class: "facts" }, view.composer ? `${view.composer} · ` : "", `Show tempo ${tempo(view.tempo)}`, this.limit(view)),
      ),
      h(
        "div",
        { class: "deeds", role: "group", "aria-label": "History" },
        button("Undo", () => session.step("undo"), { disabled: !undo, "data-keep": "undo" }),
        button("Redo", () => session.step("redo"), { disabled: !redo, "data-keep": "redo" }),
      ),
      this.more(),
    );
  }

  /** How fast the line can be played, and the bar where it breaks first. @param {api.View} view */
  limit({ limit_tempo, crux, bars }) {
    if (!limit_tempo || !crux) return null;
    const over = bars.filter(({ load }) => load > 1).length;
    const words = over ? `${count(over, "bar")} too fast` : `bar ${crux.bar} is the hardest`;
    const range = { first: crux.bar, last: crux.bar };
    return h(
      "span",
      { class: over ? "limit over" : "limit" },
      ` · playable up to ${tempo(limit_tempo)}: `,
      button(words, () => this.session?.choose({ bars: range }), { class: "plain", "data-keep": "crux" }),
    );
  }

  more() {
    const session = /** @type {Session} */ (this.session);
    const more = h(
      "div",
      { class: "deeds more", id: "more" },
      button("Practise", () => openPractice(this), { "data-keep": "practise" }),
      button("Hand on", () => openHandOn(session), { "data-keep": "hand-on" }),
      button("Your hand", () => openYourHand(session.answer.name), { "data-keep": "your-hand" }),
      button("Tour", () => startTour(this), { "data-keep": "tour" }),
      button("Keys", () => openKeys(), { "data-keep": "keys" }),
      button(
        lightWords(lightNow()),
        (event) => {
          /** @type {HTMLElement} */ (event.currentTarget).textContent = lightWords(nextLight());
        },
        { "data-keep": "light" },
      ),
    );
    more.addEventListener("click", (event) => {
      const light = event.target instanceof Element && event.target.closest('[data-keep="light"]');
      if (!light && more.classList.contains("open")) menu.click(); // what was chosen there takes over
    });
    const menu = button("Menu", () => menu.setAttribute("aria-expanded", String(more.classList.toggle("open"))), {
      class: "menu",
      "aria-expanded": "false",
      "aria-controls": "more",
      "data-keep": "menu",
    });
    return [menu, more];
  }

  showChoice() {
    const { chosen } = /** @type {Session} */ (this.session);
    this.showChosenBars();
    if (this.pages) this.pages.note = chosen.note;
    this.side?.show();
    this.foot?.showChoice();
    this.bringIn(chosen);
  }

  showChosenBars() {
    const { strip, pages } = this;
    if (strip && pages) strip.selection = pages.selection = /** @type {Session} */ (this.session).chosen.bars;
  }

  /** Keeps what is chosen in sight: a drawer may just have opened over it. @param {import("./session.js").Chosen} chosen */
  bringIn({ note, bars }) {
    if (this.foot?.player?.playing) return; // the page follows the music then
    const holds = (/** @type {import("/static/web/types.js").System} */ system) =>
      note === null
        ? bars !== null && system.first <= bars.first && bars.first <= system.last
        : system.notes.some((place) => place.note === note);
    const part = this.pages?.parts.find(({ system }) => holds(system));
    const fits = part && part.element.offsetHeight < (this.querySelector(".page")?.clientHeight ?? 0);
    part?.element.scrollIntoView({ block: fits ? "nearest" : "start" });
  }

  /** @param {{time: number, playing: boolean}} detail */
  follow({ time, playing }) {
    const { strip, pages } = this;
    if (!strip || !pages) return;
    pages.playing = playing;
    strip.time = pages.time = time;
    this.side?.follow(time);
  }

  /** @param {{sentence: string, stale: boolean, edit: api.Edit | null}} refusal */
  refuse({ sentence, stale, edit }) {
    const again = stale && edit ? { words: "Do it again", action: () => this.session?.edit(edit) } : undefined;
    say(sentence, again, "refused");
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    if (document.querySelector("dialog[open]") || event.defaultPrevented) return;
    const session = /** @type {Session} */ (this.session);
    if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "z" && !takesTyping(event.target)) {
      event.preventDefault();
      session.step(event.shiftKey ? "redo" : "undo");
      return;
    }
    if (event.ctrlKey || event.metaKey || event.altKey || takesTyping(event.target) || !keysOn()) return;
    const action = keyAction(event);
    if (!action) return;
    event.preventDefault();
    action(this, session);
  }
}

customElements.define("sw-tune", Tune);
