// One system on the page: its drawing, the hand path under it, its notes for keyboard and pointer, its marks.

import { drawing, h, s } from "./element.js";
import { HandPath } from "./hand-path.js";
import { barAt, noteWords, placeInSystem, timeInSystem } from "./music.js";

/**
 * @typedef {import("./types.js").View} View
 * @typedef {import("./types.js").System} System
 * @typedef {import("./types.js").Box} Box
 * @typedef {import("./pages.js").Pages} Pages
 */

const NEAR = 14; // points: a note is meant by a press this near to it
const DRAG = 8; // CSS pixels: further is a choice of bars

/** One system on the page. */
export class Part {
  /** @param {System} system @param {Pages} pages */
  constructor(system, pages) {
    this.system = system;
    this.pages = pages;
    this.element = h("div", { class: "system", "data-first": system.first });
    this.element.style.aspectRatio = `${system.width} / ${system.height + system.hand.height + 6}`;
    this.built = false;
  }

  build() {
    if (this.built) return;
    this.built = true;
    const { width, height } = this.system;
    const box = `0 0 ${width} ${height}`;
    const print = drawing(this.system.svg);
    print.classList.add("drawing");
    this.wash = s("g");
    this.barNow = s("rect", { class: "bar-now", y: 0, height, width: 0, x: 0 });
    this.sounds = s("g", { class: "sounds" });
    this.now = s("line", { class: "now", y1: 0, y2: height, visibility: "hidden" });
    this.ring = s("g");
    this.notes = s("g", { role: "listbox", "aria-label": `Notes, ${print.getAttribute("aria-label")}`, "aria-orientation": "horizontal" });
    const under = s("svg", { class: "under", viewBox: box, "aria-hidden": "true" }, this.barNow, this.wash);
    const over = s("svg", { class: "over", viewBox: box }, this.sounds, this.now, this.ring, this.notes);
    this.staff = h("div", { class: "staff" }, under, print, over);
    this.hand = new HandPath();
    this.element.style.aspectRatio = "";
    this.element.append(this.staff, this.hand);
    this.listen(this.staff);
    this.fill();
    this.showTime(null, []);
  }

  /** Takes the same drawing with other facts about its notes and its time. @param {System} system */
  renew(system) {
    this.system = system;
    if (this.built) this.fill();
  }

  fill() {
    if (!this.notes || !this.hand) return;
    const held = this.notes.contains(this.pages.root.activeElement);
    this.notes.replaceChildren(...this.system.notes.map((place) => this.option(place)));
    this.hand.view = this.pages.view;
    this.hand.system = this.system;
    this.showChoice();
    const again = held ? this.notes.querySelector(`[data-note="${this.pages.walking}"]`) : null;
    if (again instanceof SVGElement) again.focus({ preventScroll: true });
  }

  /** @param {import("./types.js").NotePlace} place */
  option(place) {
    const note = /** @type {View} */ (this.pages.view).notes[place.note];
    const boxes = place.fret ? [place.head, place.fret] : [place.head];
    return s(
      "g",
      { class: "note", role: "option", tabindex: -1, "data-note": place.note, "aria-label": noteWords(note), "aria-selected": "false" },
      boxes.map((box) => frame(box, 2.2)),
    );
  }

  showChoice() {
    if (!this.built || !this.ring || !this.notes || !this.wash) return;
    const { selection, note } = this.pages;
    const chosen = this.system.bars.filter(([bar]) => selection && bar >= selection.first && bar <= selection.last);
    this.wash.replaceChildren();
    this.ring.replaceChildren();
    if (chosen.length && selection) {
      // At the edge of a system it stands outside, clear of the marks that begin a line.
      const opens = chosen[0] === this.system.bars[0];
      const left = chosen[0][1] + (opens ? -3 : 1);
      const right = chosen[chosen.length - 1][2] - 3;
      const { height } = this.system;
      this.wash.append(s("rect", { class: "bars-chosen wash", x: left, y: 0, width: right - left, height }));
      if (chosen[0][0] === selection.first) this.ring.append(bracket(left, 1, height));
      if (chosen[chosen.length - 1][0] === selection.last) this.ring.append(bracket(right, -1, height));
    }
    for (const option of this.notes.children) {
      const mine = Number(option.getAttribute("data-note"));
      option.setAttribute("aria-selected", String(mine === note));
      option.setAttribute("tabindex", mine === this.pages.walking ? "0" : "-1");
    }
    if (this.hand) this.hand.note = note;
  }

  /** @param {number|null} time @param {number[]} sounding */
  showTime(time, sounding) {
    if (!this.built || !this.now || !this.barNow || !this.sounds) return;
    const x = time === null ? null : placeInSystem(this.system, time);
    this.now.setAttribute("visibility", x === null ? "hidden" : "visible");
    if (x !== null) {
      this.now.setAttribute("x1", String(x));
      this.now.setAttribute("x2", String(x));
    }
    const view = this.pages.view;
    const number = x === null || time === null || !view ? null : view.bars[barAt(view, time)].number;
    const bar = this.system.bars.find(([each]) => each === number);
    this.barNow.style.opacity = bar ? "1" : "0";
    if (bar) {
      this.barNow.setAttribute("x", String(bar[1]));
      this.barNow.setAttribute("width", String(bar[2] - bar[1]));
    }
    const key = x === null ? "" : sounding.join();
    if (this.sounds.getAttribute("data-notes") !== key) {
      this.sounds.setAttribute("data-notes", key);
      const places = this.system.notes.filter((place) => x !== null && sounding.includes(place.note));
      this.sounds.replaceChildren(...places.flatMap(({ head, fret }) => (fret ? [frame(head, 2.4), frame(fret, 2.2)] : [frame(head, 2.4)])));
    }
    if (this.hand) this.hand.show(x === null ? null : time, sounding);
  }

  /** @param {HTMLElement} staff */
  listen(staff) {
    /** @type {{x: number, bar: number|null, moved: boolean}|null} */
    let press = null;
    staff.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      press = { x: event.clientX, bar: this.barAtPoint(event), moved: false };
    });
    staff.addEventListener("pointermove", (event) => {
      if (!press) return this.pages.pointAt(this.barAtPoint(event), this.noteAtPoint(event));
      if (event.pointerType !== "mouse" || Math.abs(event.clientX - press.x) < DRAG) return;
      if (!press.moved) staff.setPointerCapture(event.pointerId);
      press.moved = true;
      const bar = this.barAtPoint(event);
      if (bar !== null && press.bar !== null) this.pages.chooseBars(press.bar, bar);
    });
    staff.addEventListener("pointerleave", () => press ?? this.pages.pointAt(null, null));
    staff.addEventListener("pointercancel", () => (press = null));
    staff.addEventListener("pointerup", (event) => {
      const was = press;
      press = null;
      if (!was || was.moved || Math.abs(event.clientX - was.x) >= DRAG) return;
      const note = this.noteAtPoint(event);
      if (note !== null) this.pages.chooseNote(note, false);
      else if (event.shiftKey && was.bar !== null) this.pages.stretchBars(was.bar);
      else this.pages.send("sw-seek", { time: timeInSystem(this.system, this.pointIn(event).x) });
    });
  }

  /** @param {PointerEvent} event  in points of the system */
  pointIn(event) {
    const box = /** @type {HTMLElement} */ (this.staff).getBoundingClientRect();
    const unit = this.system.width / box.width;
    return { x: (event.clientX - box.left) * unit, y: (event.clientY - box.top) * unit };
  }

  /** @param {PointerEvent} event */
  barAtPoint(event) {
    const { x } = this.pointIn(event);
    return this.system.bars.find(([, left, right]) => x >= left && x <= right)?.[0] ?? null;
  }

  /** The nearest note, head or fret. @param {PointerEvent} event */
  noteAtPoint(event) {
    const point = this.pointIn(event);
    let best = NEAR;
    let found = null;
    for (const place of this.system.notes) {
      for (const box of place.fret ? [place.head, place.fret] : [place.head]) {
        const across = Math.max(box[0] - point.x, 0, point.x - box[2]);
        const down = Math.max(box[1] - point.y, 0, point.y - box[3]);
        const away = Math.hypot(across, down);
        if (away < best) [best, found] = [away, place.note];
      }
    }
    return found;
  }
}

/** @param {Box} box @param {number} air */
function frame([left, top, right, bottom], air) {
  return s("rect", { x: left - air, y: top - air, width: right - left + 2 * air, height: bottom - top + 2 * air, rx: 2 });
}

/** @param {number} x @param {number} way @param {number} height */
const bracket = (x, way, height) => s("path", { class: "bars-chosen", d: `M${x + 5 * way} 0.7H${x}V${height - 0.7}H${x + 5 * way}` });
