// The stems of a tune on their way to the loudspeaker: which are on and how loud, without a click.

/**
 * @typedef {{name: string, on: boolean, level: number}} Stem  level: 0 to 1
 */

const SOFT = 0.015; // time constant of a stem's level
const ORDER = ["guitar", "bass", "drums", "comping", "brass", "click", "drone"];

export class StemMix {
  /** @type {Map<string, {gain: GainNode|null, on: boolean, level: number}>} */ #stems = new Map();
  /** @type {GainNode|null} */ #output = null;

  /** What is set outlives the context that it sounds in. */
  leave() {
    this.#output = null;
    for (const stem of this.#stems.values()) stem.gain = null;
  }

  /** All stems together, before the loudspeaker. @param {BaseAudioContext} context */
  output(context) {
    if (!this.#output) {
      this.#output = context.createGain();
      this.#output.connect(context.destination);
    }
    return this.#output;
  }

  /** The stems in the order that a player reads them. @returns {Stem[]} */
  list() {
    const known = [...this.#stems].map(([name, { on, level }]) => ({ name, on, level }));
    return known.sort((one, other) => place(one.name) - place(other.name));
  }

  /** @param {string} name */
  has(name) {
    return this.#stems.has(name);
  }

  /** @param {string} name @param {{on?: boolean, level?: number}} wish */
  set(name, wish) {
    const stem = this.#stems.get(name) ?? { gain: null, on: true, level: 1 };
    Object.assign(stem, wish);
    this.#stems.set(name, stem);
    stem.gain?.gain.setTargetAtTime(stem.on ? stem.level : 0, stem.gain.context.currentTime, SOFT);
  }

  /** Where a stem's sound goes in. @param {string} name @param {BaseAudioContext} context */
  node(name, context) {
    if (!this.has(name)) this.set(name, {});
    const stem = /** @type {{gain: GainNode|null, on: boolean, level: number}} */ (this.#stems.get(name));
    if (!stem.gain) {
      stem.gain = context.createGain();
      stem.gain.gain.value = stem.on ? stem.level : 0;
      stem.gain.connect(this.output(context));
    }
    return stem.gain;
  }
}

/** @param {string} name */
const place = (name) => ORDER.indexOf(name) + 1 || ORDER.length + 1;

/**
 * Files of stems as sound; what is sound already stays as it is.
 * @param {Record<string, AudioBuffer|ArrayBuffer>} stems
 * @param {BaseAudioContext} context
 * @returns {Promise<Map<string, AudioBuffer>>}
 */
export async function decodeStems(stems, context) {
  const entries = Object.entries(stems).map(async ([name, sound]) => {
    const buffer = sound instanceof ArrayBuffer ? await context.decodeAudioData(sound) : sound;
    return /** @type {[string, AudioBuffer]} */ ([name, buffer]);
  });
  return new Map(await Promise.all(entries));
}
