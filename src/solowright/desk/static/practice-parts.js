// What the practice place shows: the loops, the next task with its ladder, the log, the plan, the progress.

import { drawing } from "/static/web/element.js";
import { button, fold, h, labelled } from "./dom.js";
import { beat, tempo } from "./words.js";

/**
 * @typedef {import("./api.js").Practice} Practice
 * @typedef {import("./api.js").PracticeLoop} Loop
 */

/** @param {Practice} course @param {number} chosen @param {(n: number) => void} take */
export function loops(course, chosen, take) {
  return h(
    "fieldset",
    { class: "places loops" },
    h("legend", { class: "hidden" }, "Loops, hardest first"),
    course.loops.map((loop, n) =>
      h(
        "label",
        { class: n === chosen ? "place here" : "place" },
        h("input", { type: "radio", name: "loop", checked: n === chosen, "data-keep": `loop-${n}`, onchange: () => take(n) }),
        h("span", { class: "where" }, loop.name.replace("-", "–")),
        h("span", { class: "limit" }, loop.reached ? "at show tempo" : `at ${tempo(loop.ladder[loop.rung])}`),
        h("span", { class: "cost" }, `Beat ${beat(loop.crux.beat)} of bar ${loop.crux.bar}: ${loop.crux.why}`),
      ),
    ),
  );
}

/** @param {Practice} course @param {Loop} loop @param {(clean: boolean) => void} log */
export function task(course, loop, log) {
  const { next } = loop;
  const top = loop.ladder.length - 1;
  const rungs = loop.ladder.map((step, n) =>
    h(
      "li",
      { class: n === loop.rung ? "rung here" : n < loop.rung ? "rung done" : "rung", "aria-current": n === loop.rung ? "step" : null },
      n === loop.rung || n === 0 || n === top ? tempo(step) : "",
    ),
  );
  const dots = Array.from({ length: 3 }, (_, n) => h("span", { class: n < loop.clean ? "dot full" : "dot" }));
  return h(
    "section",
    { class: "task", "aria-label": "What to play next" },
    h("p", { class: "of" }, loop.name.replace("-", "–")),
    h("p", { class: "next" }, h("strong", {}, next.kind === "burst" ? `A burst at ${tempo(next.tempo)}` : tempo(next.tempo)), ` ${next.why}`),
    h("ol", { class: "ladder", "aria-label": `Ladder from ${tempo(loop.ladder[0])} to ${tempo(course.show_tempo)}` }, rungs),
    h("p", { class: "dots", role: "img", "aria-label": `${loop.clean} of 3 clean in a row` }, dots),
    h(
      "div",
      { class: "verdicts" },
      button("Clean", () => log(true), { class: "main clean", "data-keep": "clean" }),
      button("Missed", () => log(false), { class: "missed", "data-keep": "missed" }),
    ),
    h("p", { class: "hint" }, h("kbd", {}, "Enter"), " clean  ", h("kbd", {}, "Backspace"), " missed  ", h("kbd", {}, "Space"), " play, stop"),
    loop.ease ? h("p", { class: "hint" }, `Easier: ${loop.ease}.`) : null,
  );
}

/** @param {Loop} loop @param {() => void} back */
export function logged(loop, back) {
  const latest = [...loop.tries].reverse().slice(0, 8);
  return fold(
    "log",
    `Log: ${loop.tries.length} so far`,
    latest.length
      ? h(
          "ol",
          { class: "log" },
          latest.map(({ day, tempo: at, clean, kind }) =>
            h("li", {}, `${day}, ${kind === "burst" ? "burst at " : ""}${tempo(at)}: ${clean ? "clean" : "missed"}`),
          ),
        )
      : h("p", { class: "hint" }, "Nothing yet for this loop."),
    latest.length ? button("Take the last one back", back, { "data-keep": "back-one" }) : null,
  );
}

/** @param {Practice} course @param {{gig: string, minutes: string, level: string}} wishes @param {() => void} replan */
export function plan(course, wishes, replan) {
  /** @param {keyof typeof wishes} wish @param {string} type */
  const field = (wish, type) => {
    const input = h("input", { type, id: `practice-${wish}`, value: wishes[wish], "data-keep": `practice-${wish}` });
    input.addEventListener("change", () => {
      wishes[wish] = input.value;
      replan();
    });
    return input;
  };
  return fold(
    "plan",
    "The days until the gig",
    h("div", { class: "row" }, labelled("Gig", field("gig", "date")), labelled("Minutes a day", field("minutes", "number"))),
    labelled("How loud it is, dB(A)", field("level", "number"), "As you measured it; empty if you haven't."),
    course.cautions.slice(1).map((caution) => h("p", { class: "caution" }, caution)),
    course.verdict ? h("p", {}, course.verdict) : null,
    course.plan ? h("ol", { class: "days" }, course.plan.days.map((day) => h("li", {}, h("strong", {}, day.day), " ", dayWords(course, day)))) : null,
  );
}

/** @param {Practice} course @param {import("./api.js").PracticeDay} day */
function dayWords(course, { blocks }) {
  if (!blocks.length) return "free";
  const words = blocks.map(({ kind, minutes, loop, tempo: at }) =>
    kind === "loop" && loop !== null ? `${course.loops[loop].name.replace("-", "–")} at ${tempo(at ?? 0)}` : `${kind} ${minutes} min`,
  );
  return words.join(", ");
}

/** @param {string} svg */
export function progress(svg) {
  const picture = drawing(svg);
  picture.classList.add("drawing");
  picture.removeAttribute("width");
  picture.removeAttribute("height");
  return h("div", { class: "progress" }, picture);
}
