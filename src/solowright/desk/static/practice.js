// Practice beside the page: the hardest stretches as loops, a ladder of tempos for each, what to play next,
// one key for "clean" and one for "missed", the log, the plan until the gig, and the cautions in their place.

import { drawing } from "/static/web/element.js";
import * as api from "./api.js";
import { button, fill, fold, h, labelled, takesTyping } from "./dom.js";
import { hush, say } from "./say.js";
import { beat, tempo } from "./words.js";

/**
 * @typedef {import("./tune.js").Tune} Tune
 * @typedef {import("./api.js").Practice} Practice
 * @typedef {import("./api.js").PracticeLoop} Loop
 */

const STRETCH = 25; // minutes of practice, then rest: what the plan goes by
const CLEAN = "Enter";
const MISSED = "Backspace";

/** @param {Tune} view */
export async function openPractice(view) {
  const session = /** @type {import("./session.js").Session} */ (view.session);
  const side = /** @type {import("./side.js").Side} */ (view.side);
  const { name } = session.answer;
  /** @type {Practice | null} */
  let course = null;
  let chosen = 0;
  let made = 0; // tries since the panel was opened
  const wishes = { gig: localStorage.getItem(`solowright-gig-${name}`) ?? "", minutes: "40", level: "" };
  const body = h("div", { class: "stack", "aria-busy": "true" }, h("p", { class: "hint" }, "Looking for the hardest beats …"));
  const panel = h(
    "div",
    { class: "panel practice", tabIndex: -1 },
    h("div", { class: "panel-head" }, h("h3", {}, "Practice"), button("Back", () => leave(), { class: "plain" })),
    body,
  );
  const pause = window.setTimeout(
    () => say(`${STRETCH} minutes are over. Put the guitar down for five; the log waits.`, { words: "I'm back", action: hush }),
    STRETCH * 60_000,
  );
  const keys = new AbortController();
  const leave = () => {
    window.clearTimeout(pause);
    keys.abort();
    if (view.foot?.player) view.foot.player.loop = null;
    if (view.foot?.player) view.foot.player.percent = 100;
    side.leave();
  };

  const loop = () => /** @type {Practice} */ (course).loops[chosen];
  /** The player goes round the loop at the tempo of the next task. */
  const ready = () => {
    const { player } = /** @type {import("./hearing.js").Hearing} */ (view.foot);
    if (!player || !course) return;
    const { start, end, next } = loop();
    player.percent = Math.round((100 * next.tempo) / course.show_tempo);
    player.loop = { start, end };
    player.seek(start);
    session.choose({ bars: { first: loop().bars[0], last: loop().bars[1] } });
  };
  /** @param {number} n */
  const take = (n) => {
    chosen = n;
    show();
    ready();
  };
  /** @param {boolean} clean */
  const log = async (clean) => {
    try {
      const { rung } = loop();
      course = await api.logTry(name, { loop: loop().name, clean, ...wishes });
      made += 1;
      const now = loop();
      const moved = now.rung > rung ? "One step up." : now.rung < rung ? "One step back." : "";
      say(`${clean ? "Clean" : "Missed"}, logged. ${moved} Next: ${now.next.why}.`, undefined, "quiet");
      show();
      ready();
    } catch (fault) {
      say(/** @type {Error} */ (fault).message, undefined, "refused");
    }
  };
  const back = async () => {
    try {
      course = await api.takeTryBack(name, wishes);
      show();
      ready();
    } catch (fault) {
      say(/** @type {Error} */ (fault).message, undefined, "refused");
    }
  };
  const replan = async () => {
    localStorage.setItem(`solowright-gig-${name}`, wishes.gig);
    try {
      course = await api.practice(name, wishes);
      show();
    } catch (fault) {
      say(/** @type {Error} */ (fault).message, undefined, "refused");
    }
  };
  const show = () => {
    if (!course) return;
    fill(
      body,
      made ? null : h("p", { class: "caution" }, course.cautions[0]),
      task(course, loop(), log),
      loops(course, chosen, take),
      logged(loop(), back),
      plan(course, wishes, replan),
      fold("rules", "The rules of the ladder", h("ul", { class: "rules" }, course.rules.map((rule) => h("li", {}, rule)))),
      fold("progress", "Progress", progress(course.progress)),
      h("p", {}, h("a", { href: `/api/tunes/${encodeURIComponent(name)}/practice/sheet`, download: `${name}-practice.pdf` }, "Practice sheet to print (PDF)")),
    );
  };
  window.addEventListener(
    "keydown",
    (event) => {
      if (!panel.isConnected) return keys.abort();
      const own = event.target instanceof Element && event.target.closest("button, a, summary, input, select");
      if (own || takesTyping(event.target) || event.ctrlKey || event.metaKey || event.altKey) return;
      if (event.key !== CLEAN && event.key !== MISSED) return;
      event.preventDefault();
      event.stopPropagation();
      if (course && !event.repeat) void log(event.key === CLEAN);
    },
    { signal: keys.signal, capture: true },
  );
  side.take(panel);
  try {
    course = await api.practice(name, wishes);
    body.removeAttribute("aria-busy");
    show();
    ready();
    panel.focus({ preventScroll: true });
  } catch (fault) {
    body.removeAttribute("aria-busy");
    fill(body, h("p", { class: "refusal", role: "alert" }, /** @type {Error} */ (fault).message));
  }
}

/** @param {Practice} course @param {number} chosen @param {(n: number) => void} take */
function loops(course, chosen, take) {
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
function task(course, loop, log) {
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
function logged(loop, back) {
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
function plan(course, wishes, replan) {
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
function progress(svg) {
  const picture = drawing(svg);
  picture.classList.add("drawing");
  picture.removeAttribute("width");
  picture.removeAttribute("height");
  return h("div", { class: "progress" }, picture);
}
