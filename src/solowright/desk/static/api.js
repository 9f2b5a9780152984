// What the desk asks of its server. Every refusal comes back as one sentence for the player.

/**
 * @typedef {import("/static/web/types.js").View} View
 * @typedef {{name: string, title: string, composer: string, bars: number, tempo: number,
 *   arc: number[], sections: {name: string, first: number, last: number}[], problem?: string}} TuneCard
 * @typedef {import("/static/web/types.js").Sentence & {id: string, whose: "found" | "edited" | "own"}} Told
 * @typedef {import("/static/web/types.js").Device & {id: string, chosen: boolean}} Device
 * @typedef {import("/static/web/types.js").Place} When
 * @typedef {import("/static/web/types.js").Note & {fixed: import("./edits.js").Fixed[]}} Note
 * @typedef {Omit<View, "notes" | "sentences" | "devices"> & {notes: Note[], sentences: Told[], devices: Device[],
 *   hidden: {id: string, text: string, from: When, to: When}[]}} DeskView
 * @typedef {{name: string, revision: number, view: DeskView, undo: boolean, redo: boolean,
 *   sound: Record<string, string>}} TuneAnswer
 * @typedef {{string: number, fret: number, finger: number | null, load: number, limit_tempo: number | null,
 *   effort: number, change: string, here: boolean}} NeckPlace
 * @typedef {{here: boolean, limit_tempo: number | null, load: number, change: string,
 *   notes: import("./edits.js").Placed[]}} Way
 * @typedef {{tab: string | null, abc: string, chords: string}} BarTexts
 * @typedef {{kind: string, [fact: string]: unknown}} Edit
 * @typedef {{name: string, bars: [number, number], start: number, end: number, limit_tempo: number | null,
 *   crux: {bar: number, beat: number, load: number, why: string}, ease: string | null, ladder: number[],
 *   rung: number, clean: number, missed: number, retest: boolean, kept: number | null, reached: boolean,
 *   next: {kind: "loop" | "burst", tempo: number, why: string},
 *   tries: {day: string, tempo: number, clean: boolean, kind: "loop" | "burst"}[]}} PracticeLoop
 * @typedef {{day: string, blocks: {kind: string, minutes: number, loop: number | null, tempo: number | null}[]}} PracticeDay
 * @typedef {{show_tempo: number, day: string, loops: PracticeLoop[], plan: {days: PracticeDay[]} | null,
 *   verdict: string | null, rules: string[], cautions: string[], progress: string}} Practice
 * @typedef {{file: string, said: Record<string, unknown>, usual: Record<string, number>,
 *   bounds: Record<string, [number, number]>, problem: string | null}} Profile
 */

/** The server said no, in one sentence. */
export class Refused extends Error {
  /** @param {string} sentence @param {number} status */
  constructor(sentence, status) {
    super(sentence);
    this.status = status;
  }

  /** Whether another window has changed the tune since. */
  get stale() {
    return this.status === 409;
  }
}

const AWAY = "The desk's server doesn't answer. Is it still running? Nothing you saved is lost.";

/**
 * @param {string} path
 * @param {RequestInit} [wishes]
 * @returns {Promise<Response>}
 */
async function ask(path, wishes = {}) {
  let response;
  try {
    response = await fetch(path, { credentials: "same-origin", ...wishes });
  } catch (fault) {
    if (fault instanceof DOMException && fault.name === "AbortError") throw fault;
    throw new Refused(AWAY, 0);
  }
  if (!response.ok) throw new Refused(await sentence(response), response.status);
  return response;
}

/** @param {Response} response */
async function sentence(response) {
  const text = await response.text();
  try {
    const told = JSON.parse(text);
    const words = told.error ?? told.detail ?? told.sentence;
    if (Array.isArray(told.problems) && told.problems.length > 1) return told.problems.join("\n");
    if (typeof words === "string") return words;
  } catch {
    // not JSON: told below
  }
  return text.length && text.length < 300 && !text.startsWith("<")
    ? text
    : `The server couldn't do that (${response.status}).`;
}

/** @param {string} path @param {unknown} body */
const post = (path, body) =>
  ask(path, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(body) });

/** @param {string} name */
const at = (name) => `/api/tunes/${encodeURIComponent(name)}`;

/** @returns {Promise<TuneCard[]>} */
export const tunes = async () => (await ask("/api/tunes")).json();

/** @param {Record<string, unknown>} wishes @returns {Promise<TuneAnswer>} */
export const newTune = async (wishes) => (await post("/api/tunes", wishes)).json();

/** @param {File} file @param {string} [chart] @returns {Promise<TuneAnswer>} */
export async function upload(file, chart) {
  const query = new URLSearchParams({ name: file.name });
  if (chart) query.set("chart", chart);
  const headers = { "content-type": "application/octet-stream" };
  return (await ask(`/api/upload?${query}`, { method: "POST", headers, body: file })).json();
}

/** @returns {Promise<TuneAnswer>} */
export const demo = async () => (await post("/api/demo", {})).json();

/** @param {string} name @param {number} width @returns {Promise<TuneAnswer>} */
export const tune = async (name, width) => (await ask(`${at(name)}?width=${width}`)).json();

/** @param {string} name @param {{revision: number, width: number, edit: Edit}} wish @returns {Promise<TuneAnswer>} */
export const edit = async (name, wish) => (await post(`${at(name)}/edits`, wish)).json();

/**
 * @param {string} name
 * @param {"undo" | "redo"} way
 * @param {{revision: number, width: number}} wish
 * @returns {Promise<TuneAnswer>}
 */
export const step = async (name, way, wish) => (await post(`${at(name)}/${way}`, wish)).json();

/** @param {string} name @param {number} note @returns {Promise<NeckPlace[]>} */
export const places = async (name, note) => (await ask(`${at(name)}/places?note=${note}`)).json();

/** @param {string} name @param {number} first @param {number} last @returns {Promise<Way[]>} */
export const fingerings = async (name, first, last) =>
  (await ask(`${at(name)}/fingerings?from=${first}&to=${last}`)).json();

/** @param {string} name @param {number} first @param {number} last @returns {Promise<BarTexts>} */
export const barTexts = async (name, first, last) => (await ask(`${at(name)}/bar?bar=${first}&to=${last}`)).json();

/** @param {string} name @returns {Promise<any>} */
export const speak = async (name) => (await ask(`${at(name)}/speak`)).json();

/** @returns {Promise<{kind: string, words: string, suffix: string}[]>} */
export const exports = async () => (await ask("/api/exports")).json();

/**
 * Asks for a file of the tune and follows the work to its end.
 * @param {string} name
 * @param {Record<string, unknown>} wish
 * @param {(done: number, words: string) => void} progress  done from 0 to 1
 * @returns {Promise<string>} where the file can be fetched
 */
export async function exported(name, wish, progress) {
  const { job } = await (await post(`${at(name)}/exports`, wish)).json();
  await new Promise((resolve, reject) => {
    const events = new EventSource(`/api/jobs/${job}/events`);
    events.onmessage = (event) => {
      const told = JSON.parse(event.data);
      if (told.error) {
        events.close();
        reject(new Refused(told.error, 422));
      } else if (told.done === true) {
        events.close();
        resolve(null);
      } else {
        progress(told.share ?? 0, told.step ?? "");
      }
    };
    events.onerror = () => {
      events.close();
      reject(new Refused(AWAY, 0));
    };
  });
  return `/api/jobs/${job}/file`;
}

/** @param {string} name */
export const events = (name) => new EventSource(`${at(name)}/events`);

/**
 * Every stem of the tune at a tempo, as it came from the server; what the browser still has isn't asked for.
 * @param {TuneAnswer} tune
 * @param {number} percent
 * @param {number | null} gain
 * @param {AbortSignal} signal
 */
export async function sound({ name, sound }, percent, gain, signal) {
  let lead = 0;
  const parts = await Promise.all(
    Object.entries(sound).map(async ([stem, key]) => {
      const query = new URLSearchParams({ percent: String(percent), key });
      if (gain !== null && stem === "guitar") query.set("gain", String(gain));
      const response = await ask(`${at(name)}/sound/${stem}?${query}`, { signal });
      lead = Number(response.headers.get("x-lead") ?? 0);
      return /** @type {[string, ArrayBuffer]} */ ([stem, await response.arrayBuffer()]);
    }),
  );
  return { percent, lead, stems: Object.fromEntries(parts) };
}

/** @returns {Promise<Profile>} */
export const profile = async () => (await ask("/api/player")).json();

/** @param {Record<string, unknown>} said  null: as usual @param {string | null} tune @returns {Promise<Profile>} */
export const keepProfile = async (said, tune) => (await post("/api/player", { said, tune })).json();

/** @param {string} name @param {Record<string, string>} wishes @returns {Promise<Practice>} */
export const practice = async (name, wishes) => (await ask(`${at(name)}/practice?${new URLSearchParams(wishes)}`)).json();

/** @param {string} name @param {Record<string, unknown>} made @returns {Promise<Practice>} */
export const logTry = async (name, made) => (await post(`${at(name)}/practice/tries`, made)).json();

/** @param {string} name @param {Record<string, unknown>} wishes @returns {Promise<Practice>} */
export const takeTryBack = async (name, wishes) => (await post(`${at(name)}/practice/back`, wishes)).json();
