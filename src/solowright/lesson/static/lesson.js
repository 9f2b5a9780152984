// The students' page: one file that holds the tune, its sound and the elements that show and play it.
//
// The elements are the desk's own (`web/static`). What is here: where the sound comes from (MP3 in the page
// itself), the list of chapters and phrases, the plainer line, and the keys.

import "./form-strip.js";
import "./neck.js";
import "./pages.js";
import "./player.js";
import "./reasons.js";
import "./transport.js";
import { h } from "./element.js";
import { barAt } from "./music.js";
import { connect } from "./wire.js";

/**
 * @typedef {import("./types.js").View} View
 * @typedef {{number: number, name: string, first: number, last: number}} Phrase
 * @typedef {{name: string, first: number, last: number, text: string, phrases: Phrase[]}} Chapter
 * @typedef {{name: string, view: View, guitar: string, words: string[]}} Line
 * @typedef {{percents: number[], stems: string[], probe_at: number, lines: Line[], chapters: Chapter[]}} Lesson
 */

/** @param {string} id @returns {ArrayBuffer} what stands in the page as base64 */
function bytes(id) {
  const text = atob(document.getElementById(id)?.textContent?.trim() ?? "");
  const found = new Uint8Array(text.length);
  for (let n = 0; n < text.length; n += 1) found[n] = text.charCodeAt(n);
  return found.buffer;
}

/** @type {Lesson} */
const lesson = await new Response(
  new Blob([bytes("lesson")]).stream().pipeThrough(new DecompressionStream("deflate")),
).json();
/** @param {string} name @returns {any} */
const find = (name) => document.querySelector(name);
const [strip, pages, neck, reasons, transport, player] = [
  "sw-form-strip", "sw-pages", "sw-neck", "sw-reasons", "sw-transport", "sw-player",
].map(find);
const main = find("main");

/** @type {Line} */
let line = lesson.lines[0];
const wired = connect(document.body, player, [strip, pages, neck, reasons, transport]);

/** Seconds of silence that this browser's decoder leaves in front. @type {Promise<number>|null} */
let late = null;

/** Finds the probe's click in what the decoder makes of it. */
async function measure() {
  const sound = await player.context.decodeAudioData(bytes("sound-probe"));
  const wave = sound.getChannelData(0);
  let high = 0;
  for (const value of wave) high = Math.max(high, Math.abs(value));
  const begins = wave.findIndex((value) => Math.abs(value) > 0.5 * high);
  return begins < 0 ? 0 : begins / sound.sampleRate - lesson.probe_at;
}

/**
 * A click on every beat, as long as the tune.
 * @param {number} percent
 * @param {number} lead  second of the audio at which the tune begins
 */
function clicks(percent, lead) {
  const { sampleRate } = player.context;
  const speed = percent / 100;
  const buffer = player.context.createBuffer(1, Math.ceil((lead + line.view.length / speed + 1) * sampleRate), sampleRate);
  const wave = buffer.getChannelData(0);
  for (const bar of line.view.bars) {
    bar.pulses.forEach((pulse, order) => {
      const start = Math.round((lead + pulse / speed) * sampleRate);
      const pitch = (2 * Math.PI * (order ? 1050 : 1570)) / sampleRate;
      for (let n = 0; n < 0.045 * sampleRate; n += 1) wave[start + n] = 0.25 * Math.exp((-n * 130) / sampleRate) * Math.sin(pitch * n);
    });
  }
  return buffer;
}

player.supply = async (/** @type {number} */ percent) => {
  late ??= measure();
  const ids = lesson.stems.map((name) => [name, `sound-${percent}-${name === "guitar" ? line.guitar : name}`]);
  const decoded = await Promise.all(ids.map(([, id]) => player.context.decodeAudioData(bytes(id))));
  const lead = await late;
  const stems = Object.fromEntries(ids.map(([name], n) => [name, decoded[n]]));
  return { percent, lead, stems: { ...stems, click: clicks(percent, lead) } };
};

/** Shows a line and, where its guitar is another, goes over to its sound. @param {Line} chosen */
function show(chosen) {
  const before = line;
  line = chosen;
  wired.show(line.view);
  find("#plainer-words").hidden = line === lesson.lines[0];
  if (line !== before) player.renew().catch(() => undefined);
}

/** @param {number} first @param {number} last */
function loop(first, last) {
  document.body.dispatchEvent(new CustomEvent("sw-choose-bars", { detail: { first, last } }));
}

/** @param {number} number */
function go(number) {
  const bar = line.view.bars.find((each) => each.number === number);
  if (bar) document.body.dispatchEvent(new CustomEvent("sw-seek", { detail: { time: bar.time } }));
}

/** @param {Chapter} chapter */
function chapterItem(chapter) {
  const phrases = chapter.phrases.map(({ name, first, last }) =>
    h("li", {}, h("button", { type: "button", onclick: () => loop(first, last), "data-loop": `${first}-${last}` }, name)),
  );
  return h(
    "li",
    {},
    h("button", { type: "button", class: "chapter", "data-bar": chapter.first, onclick: () => go(chapter.first) }, chapter.name),
    h("ol", { class: "phrases", "aria-label": `Phrases to loop in ${chapter.name}` }, phrases),
    chapter.text && h("p", {}, chapter.text),
  );
}

/** Marks the chapter and phrase that the music is in. @param {number} time */
function mark(time) {
  const number = line.view.bars[barAt(line.view, Math.max(0, time))].number;
  for (const button of document.querySelectorAll("#chapters button")) {
    const [first, last] = (button.getAttribute("data-loop") ?? "").split("-").map(Number);
    const here = button.classList.contains("chapter")
      ? chapterOf(number)?.first === Number(button.getAttribute("data-bar"))
      : number >= first && number <= last;
    if (here) button.setAttribute("aria-current", "true");
    else button.removeAttribute("aria-current");
  }
}

/** @param {number} number */
const chapterOf = (number) => [...lesson.chapters].reverse().find(({ first }) => first <= number);
/** @param {number} number */
const phraseOf = (number) =>
  lesson.chapters.flatMap(({ phrases }) => phrases).find(({ first, last }) => number >= first && number <= last);

/** @param {number} by */
function change(by) {
  const at = lesson.percents.indexOf(player.percent) + by;
  if (at >= 0 && at < lesson.percents.length) player.percent = lesson.percents[at];
}

/** The keys, as the page lists them. @type {Record<string, (number: number) => void>} */
const KEYS = {
  b: (number) => loop(number, number),
  p: (number) => {
    const phrase = phraseOf(number);
    if (phrase) loop(phrase.first, phrase.last);
  },
  o: () => transport.letGo(),
  a: () => transport.toStart(),
  "-": () => change(-1),
  "+": () => change(1),
  g: () => {
    const guitar = player.stems.find((/** @type {{name: string}} */ stem) => stem.name === "guitar");
    player.setStem("guitar", { on: !guitar?.on });
  },
};

document.addEventListener("keydown", (event) => {
  const on = event.composedPath()[0];
  const typing = on instanceof HTMLElement && on.matches("input:not([type=range], [type=checkbox], [type=radio]), textarea, select");
  const deed = KEYS[event.key];
  if (!deed || typing || event.ctrlKey || event.metaKey || event.altKey) return;
  event.preventDefault();
  deed(line.view.bars[barAt(line.view, player.time)].number);
});

find("#chapters").replaceChildren(...lesson.chapters.map(chapterItem));
document.addEventListener("sw-time", (event) => mark(/** @type {CustomEvent} */ (event).detail.time));
for (const choice of document.querySelectorAll("input[name=line]")) {
  choice.addEventListener("change", () => show(lesson.lines[Number(/** @type {HTMLInputElement} */ (choice).value)]));
}
find("#more").addEventListener("click", () => {
  const open = find(".foot").classList.toggle("open");
  find("#more").setAttribute("aria-expanded", String(open));
});
find("#print").addEventListener("click", () => window.print());

transport.player = player;
transport.tempos = lesson.percents;
player.setStem("click", { on: false });
show(line);
mark(0);
main.removeAttribute("aria-busy");
void player.renew().then(
  () => document.documentElement.setAttribute("data-ready", String(Math.round(performance.now()))),
  () => undefined,
);
