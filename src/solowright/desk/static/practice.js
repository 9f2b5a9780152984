// Practice beside the page: the hardest stretches as loops, a ladder of tempos for each, what to play next,
// one key for "clean" and one for "missed", the log, the plan until the gig, and the cautions in their place.

import * as api from "./api.js";
import { button, fill, fold, h, takesTyping } from "./dom.js";
import { logged, loops, plan, progress, task } from "./practice-parts.js";
import { hush, say } from "./say.js";
import { percentAt } from "./words.js";

/**
 * @typedef {import("./tune.js").Tune} Tune
 * @typedef {import("./api.js").Practice} Practice
 */

const STRETCH = 25; // minutes of practice, then rest: what the plan goes by
const CLEAN = "Enter";
const MISSED = "Backspace";

/** @param {Tune} view */
export const openPractice = (view) => new PracticePlace(view).begin();

class PracticePlace {
  /** @param {Tune} view */
  constructor(view) {
    this.session = /** @type {import("./session.js").Session} */ (view.session);
    this.side = /** @type {import("./side.js").Side} */ (view.side);
    this.player = /** @type {import("/static/web/player.js").Player} */ (view.foot?.player);
    this.before = this.player.percent;
    this.name = this.session.answer.name;
    this.wishes = { gig: localStorage.getItem(this.gigKey) ?? "", minutes: "40", level: "" };
    this.course = /** @type {Practice} */ (/** @type {unknown} */ (null)); // until it has come
    this.chosen = 0;
    this.made = 0; // tries since the place was opened
    this.body = h(
      "div",
      { class: "stack", "aria-busy": "true" },
      h("p", { class: "hint" }, "Looking for the hardest beats …"),
    );
    const back = button("Back", () => this.leave(), { class: "plain" });
    this.panel = h(
      "div",
      { class: "panel practice", tabIndex: -1 },
      h("div", { class: "panel-head" }, h("h3", {}, "Practice"), back),
      this.body,
    );
    this.keys = new AbortController();
  }

  get gigKey() {
    return `solowright-gig-${this.session.answer.name}`;
  }

  get loop() {
    return this.course.loops[this.chosen];
  }

  async begin() {
    const { signal } = this.keys;
    this.side.take(this.panel, ({ note }) => note !== null && this.end());
    window.addEventListener("keydown", (event) => this.key(event), { signal, capture: true });
    this.rest = window.setTimeout(() => this.askForRest(), STRETCH * 60_000);
    try {
      this.course = await api.practice(this.name, this.wishes);
      this.show();
      this.ready();
      this.panel.focus({ preventScroll: true });
    } catch (fault) {
      fill(this.body, h("p", { class: "refusal", role: "alert" }, /** @type {Error} */ (fault).message));
    }
    this.body.removeAttribute("aria-busy");
  }

  askForRest() {
    if (!this.panel.isConnected) return;
    const words = `${STRETCH} minutes are over. Put the guitar down for five; the log waits.`;
    say(words, { words: "I'm back", action: hush });
  }

  leave() {
    this.end();
    this.side.leave();
  }

  end() {
    window.clearTimeout(this.rest);
    this.keys.abort();
    this.player.loop = null;
    this.player.percent = this.before;
    this.side.release(this.panel);
  }

  show() {
    const { course, loop, name } = this;
    const sheet = { href: `/api/tunes/${encodeURIComponent(name)}/practice/sheet`, download: `${name}-practice.pdf` };
    fill(
      this.body,
      this.made ? null : h("p", { class: "caution" }, course.cautions[0]),
      task(course, loop, (clean) => this.log(clean)),
      loops(course, this.chosen, (n) => this.take(n)),
      logged(loop, () => this.takeBack()),
      plan(course, this.wishes, () => this.replan()),
      fold("rules", "The rules of the ladder", h("ul", { class: "rules" }, course.rules.map((rule) => h("li", {}, rule)))),
      fold("progress", "Progress", progress(course.progress)),
      h("p", {}, h("a", sheet, "Practice sheet to print (PDF)")),
    );
  }

  /** The player goes round the loop at the tempo of the next task. */
  ready() {
    const { bars, start, end, next } = this.loop;
    this.player.percent = percentAt(next.tempo, this.course.show_tempo);
    this.player.loop = { start, end };
    this.player.seek(start);
    this.session.choose({ bars: { first: bars[0], last: bars[1] } });
  }

  /** @param {number} n */
  take(n) {
    this.chosen = n;
    this.show();
    this.ready();
  }

  /** @param {boolean} clean */
  async log(clean) {
    const { rung, name: loop } = this.loop;
    if (!(await this.renewed(api.logTry(this.name, { loop, clean, ...this.wishes })))) return;
    this.made += 1;
    const { rung: now, next } = this.loop;
    const moved = now > rung ? "One step up. " : now < rung ? "One step back. " : "";
    say(`${clean ? "Clean" : "Missed"}, logged. ${moved}Next: ${next.why}.`, undefined, "quiet");
    this.show();
    this.ready();
  }

  async takeBack() {
    if (!(await this.renewed(api.takeTryBack(this.name, this.wishes)))) return;
    this.show();
    this.ready();
  }

  async replan() {
    localStorage.setItem(this.gigKey, this.wishes.gig);
    if (await this.renewed(api.practice(this.name, this.wishes))) this.show();
  }

  /** Takes in the course as it stands now; tells why where it can't be had. @param {Promise<Practice>} coming */
  async renewed(coming) {
    try {
      this.course = await coming;
      return true;
    } catch (fault) {
      say(/** @type {Error} */ (fault).message, undefined, "refused");
      return false;
    }
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    if (!this.panel.isConnected) return this.keys.abort();
    const own = event.target instanceof Element && event.target.closest("button, a, summary, input, select");
    if (own || takesTyping(event.target) || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key !== CLEAN && event.key !== MISSED) return;
    event.preventDefault();
    event.stopPropagation();
    if (this.course && !event.repeat) void this.log(event.key === CLEAN);
  }
}
