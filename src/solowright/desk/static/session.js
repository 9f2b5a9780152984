// One tune on the desk: what the server last said of it, and the edits on their way there.
// Edits go one after another, each on the revision that the one before it gave.

import * as api from "./api.js";

/**
 * @typedef {import("./api.js").TuneAnswer} TuneAnswer
 * @typedef {{first: number, last: number}} Range
 * @typedef {{note: number | null, bars: Range | null}} Chosen
 */

export class Session extends EventTarget {
  /** @param {TuneAnswer} answer @param {number} width  of the systems, in points */
  constructor(answer, width) {
    super();
    this.answer = answer;
    this.width = width;
    /** @type {Chosen} */
    this.chosen = { note: null, bars: null };
    this.waiting = 0;
    /** @type {{arc: any, of: number} | null} the latest arc that was told, and the revision it is of */
    this.arc = null;
    this.refusal = ""; // why the last edit wasn't made
    /** @type {Promise<unknown>} */
    this.queue = Promise.resolve();
    this.events = api.events(answer.name);
    this.events.onmessage = (event) => this.hear(JSON.parse(event.data));
  }

  get view() {
    return this.answer.view;
  }

  close() {
    this.events.close();
  }

  /**
   * Makes an edit. Gives false where it wasn't made; then `refusal` says why, and so does the event
   * "refused" unless the one who asks shows it (`quiet`).
   * @param {api.Edit} edit
   * @param {boolean} [quiet]
   * @returns {Promise<boolean>}
   */
  edit(edit, quiet = false) {
    return this.send((now) => api.edit(this.answer.name, { ...now, edit }), edit, quiet);
  }

  /** @param {"undo" | "redo"} way */
  step(way) {
    return this.send((now) => api.step(this.answer.name, way, now), null);
  }

  /**
   * @param {(now: {revision: number, width: number}) => Promise<TuneAnswer>} request
   * @param {api.Edit | null} edit
   * @param {boolean} [quiet]
   * @returns {Promise<boolean>}
   */
  send(request, edit, quiet = false) {
    this.waiting += 1;
    this.tell("waiting");
    const sent = this.queue.then(async () => {
      try {
        this.take(await request({ revision: this.answer.revision, width: this.width }));
        return true;
      } catch (fault) {
        if (!(fault instanceof api.Refused)) throw fault;
        if (fault.stale) await this.reload();
        this.refusal = fault.message;
        if (!quiet || fault.stale) this.tell("refused", { sentence: fault.message, stale: fault.stale, edit });
        return false;
      } finally {
        this.waiting -= 1;
        this.tell("waiting");
      }
    });
    this.queue = sent.catch(() => undefined);
    return sent;
  }

  async reload() {
    this.take(await api.tune(this.answer.name, this.width));
  }

  /** Asks for systems of another width. @param {number} width */
  async lay(width) {
    if (width === this.width) return;
    this.width = width;
    this.queue = this.queue.then(() => this.reload()).catch(() => undefined);
    await this.queue;
  }

  /** @param {TuneAnswer} answer */
  take(answer) {
    const before = this.answer;
    answer.view.systems = answer.view.systems.map((system, i) => {
      if (!("unchanged" in system)) return system;
      const { svg, hand } = before.view.systems[i];
      return { ...system, svg, hand: { ...system.hand, svg: hand.svg } };
    });
    this.answer = answer;
    if (this.arc?.of === answer.revision) answer.view.arc = this.arc.arc;
    this.keepChoice();
    this.tell("changed", { before });
  }

  /**
   * News from the server: the arc that follows an edit, another window's or another program's change,
   * another hand to finger for, trouble with saving.
   * @param {{revision?: number, outside?: boolean, trouble?: string, player?: boolean, arc?: any, of?: number}} told
   */
  hear(told) {
    if (told.trouble) this.tell("news", told.trouble);
    if (told.player) {
      const trouble = (/** @type {Error} */ fault) => this.tell("news", fault.message);
      this.queue = this.queue.then(() => this.reload()).catch(trouble);
      return;
    }
    if (told.arc && told.of !== undefined) {
      this.arc = { arc: told.arc, of: told.of }; // it may come before the answer that it belongs to
      if (told.of !== this.answer.revision) return;
      this.view.arc = told.arc;
      this.tell("arc");
      return;
    }
    if (told.revision === undefined || this.waiting || told.revision <= this.answer.revision) return;
    this.queue = this.queue.then(() => this.reload()).catch(() => undefined);
    if (told.outside) this.tell("news", "Another program has changed this tune's file; it is shown as it is there now.");
  }

  /** @param {Partial<Chosen>} chosen */
  choose(chosen) {
    this.chosen = { note: null, bars: null, ...chosen };
    if (this.chosen.note !== null && !this.chosen.bars) {
      const bar = this.view.notes[this.chosen.note].bar;
      this.chosen.bars = { first: bar, last: bar };
    }
    this.tell("chosen");
  }

  keepChoice() {
    const { note, bars } = this.chosen;
    const last = this.view.bars.at(-1)?.number ?? 0;
    const there = note !== null && note < this.view.notes.length;
    this.chosen = {
      note: there ? note : null,
      bars: bars && bars.first <= last ? { first: bars.first, last: Math.min(bars.last, last) } : null,
    };
  }

  /** @param {string} what @param {unknown} [detail] */
  tell(what, detail) {
    this.dispatchEvent(new CustomEvent(what, { detail }));
  }
}
