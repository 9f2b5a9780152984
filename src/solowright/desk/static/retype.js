// Typing bars anew, as tablature or ABC, with the page following each pause in the typing.
// What is typed but can't be read yet is kept for this window, so that a reload loses none of it.

import * as api from "./api.js";
import { button, h } from "./dom.js";
import * as edits from "./edits.js";
import { choice } from "./note-choices.js";
import { emptyTab, toFirstRow, typeOver } from "./tab-typing.js";
import { bars, barsTitle } from "./words.js";

/**
 * @typedef {import("./side.js").Side} Side
 * @typedef {import("./session.js").Range} Range
 * @typedef {"tab" | "abc"} Way
 * @typedef {{first: number, last: number, way: Way, text: string}} Draft
 */

const PAUSE = 450; // ms without a key until the page follows

/** @param {string} name */
const draftKey = (name) => `solowright-draft-${name}`;

/** @param {string} name @returns {Draft | null} */
export function keptDraft(name) {
  return JSON.parse(sessionStorage.getItem(draftKey(name)) ?? "null");
}

/**
 * Puts the bars into the side to be typed.
 * @param {Side} side
 * @param {Range} range
 * @param {Draft | null} [draft]  what was being typed before a reload
 */
export function retype(side, range, draft = null) {
  return new Typing(side, range, draft?.way ?? "tab").begin(draft);
}

/** Some bars while they are typed. */
class Typing {
  /** @param {Side} side @param {Range} range @param {Way} way */
  constructor(side, range, way) {
    this.side = side;
    this.range = range;
    this.way = way;
    this.next = following(side.session, range);
    this.pause = 0;
    this.sent = ""; // what the page shows
    this.title = barsTitle(range.first, range.last);
    this.text = h("textarea", {
      class: "typed",
      rows: 8,
      spellcheck: false,
      autocomplete: "off",
      wrap: "off",
      "aria-label": `${this.title} as text`,
      oninput: () => this.wait(),
      onkeydown: (/** @type {KeyboardEvent} */ event) => this.way === "tab" && typeOver(this.text, event),
    });
    this.told = h("p", { class: "told", role: "status" });
    this.panel = this.draw();
  }

  draw() {
    const { next } = this;
    const back = button("Back", () => this.leave(), { class: "plain" });
    const ways = [["tab", "tablature"], ["abc", "ABC"]];
    return h(
      "div",
      { class: "panel retype" },
      h("div", { class: "panel-head" }, h("h3", {}, `${this.title} anew`), back),
      choice("Typed as", "way", ways, this.way, (way) => this.turn(/** @type {Way} */ (way))),
      this.text,
      h("p", { class: "hint" }, "A number is a fret, and Space goes to the next count."),
      this.told,
      help(),
      h(
        "p",
        { class: "ways" },
        button("Done", () => this.finish(), { class: "main" }),
        next ? button(`On to ${bars(next.first, next.last)}`, () => this.goOn(next)) : null,
      ),
    );
  }

  /** @param {Draft | null} draft */
  async begin(draft) {
    this.side.take(this.panel, (chosen) => this.giveWay(chosen));
    try {
      await this.fetch();
      if (draft) {
        this.text.value = draft.text;
        await this.follow();
      }
      this.text.focus();
      if (!draft) toFirstRow(this.text);
    } catch (fault) {
      this.tell(/** @type {Error} */ (fault).message, true);
    }
  }

  /** The bars as they are now. */
  async fetch() {
    const { text, range, side } = this;
    text.disabled = true;
    const asked = api.barTexts(side.session.answer.name, range.first, range.last);
    const { tab, abc } = await asked.finally(() => (text.disabled = false));
    this.tell("");
    if (this.way === "tab" && tab === null && /[A-Ga-g]/.test(abc)) {
      this.way = "abc";
      for (const input of this.panel.querySelectorAll("input")) input.checked = input.value === "abc";
      this.tell("Tablature would lose something of these bars; here they are in ABC.");
    }
    this.sent = text.value = this.way === "abc" ? abc : (tab ?? emptyTab(side.session, range));
  }

  /** After a key: what is typed is kept for a reload, and the page follows when a pause comes. */
  wait() {
    const draft = { ...this.range, way: this.way, text: this.text.value };
    sessionStorage.setItem(draftKey(this.side.session.answer.name), JSON.stringify(draft));
    window.clearTimeout(this.pause);
    this.pause = window.setTimeout(() => this.follow(), PAUSE);
  }

  /** Gives true where the page shows what is typed. */
  async follow() {
    window.clearTimeout(this.pause);
    const { session } = this.side;
    const now = this.text.value;
    if (now === this.sent) return true;
    this.tell("Reading …");
    const done = await session.edit(edits.barText(this.range, now, this.way), true);
    if (now !== this.text.value) return done;
    if (done) {
      this.sent = now;
      this.drop();
    }
    this.tell(done ? "The page follows." : session.refusal, !done);
    return done;
  }

  /** Shows the bars the other way. @param {Way} way */
  async turn(way) {
    this.way = way;
    this.drop();
    await this.fetch();
    this.text.focus();
  }

  async finish() {
    if (await this.follow()) this.side.leave();
    else this.text.focus();
  }

  /** @param {Range} next */
  async goOn(next) {
    if (!(await this.follow())) return this.text.focus();
    this.side.session.choose({ bars: next });
    await retype(this.side, next);
  }

  /**
   * A note or other bars are chosen: they are shown, once the page has what is typed. Where that can't be
   * read, the typing stays and says so.
   * @param {import("./session.js").Chosen} chosen
   */
  async giveWay({ note, bars: other }) {
    const { session } = this.side;
    const { first, last } = this.range;
    if (note === null && (!other || (first <= other.first && other.last <= last))) return;
    const meant = note === null ? null : session.view.notes[note];
    if (!(await this.follow())) {
      const wish = meant ? "then the note you chose shows its places" : "then the bars you chose are shown";
      return this.tell(`${session.refusal} Mend it or go back; ${wish}.`, true);
    }
    this.drop();
    this.side.release(this.panel);
    if (meant) session.choose({ note: placeOf(session.view.notes, meant) });
  }

  leave() {
    window.clearTimeout(this.pause);
    this.drop();
    this.side.leave();
  }

  drop() {
    sessionStorage.removeItem(draftKey(this.side.session.answer.name));
  }

  /** @param {string} words @param {boolean} [refused] */
  tell(words, refused = false) {
    this.told.className = refused ? "told refusal" : "told";
    this.told.textContent = words;
  }
}

/**
 * Where a note stands among the notes of another view; null where it is gone.
 * @param {import("./api.js").Note[]} notes @param {import("./api.js").Note} note
 */
function placeOf(notes, { bar, beat, midi }) {
  const place = notes.findIndex((each) => each.bar === bar && each.beat === beat && each.midi === midi);
  return place < 0 ? null : place;
}

/** As many bars again, after these. @param {Side["session"]} session @param {Range} range */
function following({ view }, { first, last }) {
  const end = Math.min(2 * last - first + 1, view.bars.at(-1)?.number ?? last);
  return end > last ? { first: last + 1, last: end } : null;
}

function help() {
  return h(
    "details",
    { class: "fold" },
    h("summary", {}, "How it is typed"),
    h(
      "p",
      {},
      "Six rows from the high string down, under a row that counts: 1 & 2 & 3 & 4 & for eighths, 1 e & a for sixteenths, 1 t l for triplets. h, p and / slur and slide; a note lasts to the next; a comma ends it early.",
    ),
    h(
      "p",
      {},
      "In ABC: C D E is the octave of middle C, c an octave higher, C, one lower; 2 doubles a length, /2 halves it; (ab) slurs; z rests.",
    ),
  );
}
