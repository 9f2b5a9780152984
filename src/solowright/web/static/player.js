// Plays a tune's stems in step, goes round a loop to the sample, and says where the music is.
//
// A version is the whole tune at one tempo: an audio buffer for each stem, all of one length, and the
// second (`lead`) at which the tune begins in them. Places in the audio and seconds at the show tempo are
// in proportion. Everything is started at one time of the audio context's clock; a change while it
// plays (tempo, loop, an edited line) is another set of sources that takes over at a sample to come.

import { StemMix, decodeStems } from "./stem-mix.js";
import { heardTime, releaseTake, soundClicks, startTake } from "./take.js";
import { countIn, onSample, placeIn, showTime, stretchOf } from "./timeline.js";

/**
 * @typedef {import("./types.js").View} View
 * @typedef {import("./types.js").Bars} Bars
 * @typedef {import("./timeline.js").Span} Span
 * @typedef {import("./timeline.js").Stretch} Stretch
 * @typedef {{percent: number, lead: number, stems: Record<string, AudioBuffer|ArrayBuffer>}} Supplied
 * @typedef {(percent: number, signal: AbortSignal) => Promise<Supplied>} Supply
 * @typedef {{percent: number, lead: number, buffers: Map<string, AudioBuffer>}} Version
 * @typedef {import("./take.js").Take} Take
 * @typedef {import("./stem-mix.js").Stem} Stem
 */

const AHEAD = 0.06; // seconds from play to the first sample
const NOTICE = 0.1; // seconds from a change while it plays to the sample where it takes effect
const FADE = 0.012; // in which one set of sources hands over to the next
const MOST = 1800; // stem-seconds of audio that are kept decoded: about 350 MB

export class Player extends HTMLElement {
  /** @type {BaseAudioContext|null} */ #context = null;
  #mix = new StemMix();
  /** @type {Map<number, Version>} */ #versions = new Map();
  /** @type {Version|null} what sounds, or would */ #version = null;
  /** @type {Take|null} */ #take = null;
  /** @type {AudioScheduledSourceNode[]} */ #clicks = [];
  /** @type {Span[]} */ #spans = [];
  /** @type {AbortController|null} */ #asking = null;
  /** @type {Bars|Stretch|null} */ #loop = null;
  #percent = 100;
  #counts = true;
  #time = 0;
  #playing = false;
  #waiting = false;
  #frame = 0;
  #later = 0;
  /** @type {number|undefined} a place asked for that is still to be gone to */ #goal = undefined;
  #heardLast = 0;

  /** What is played. @type {View|null} */
  view = null;

  /** Where the audio of a tempo comes from. @type {Supply|null} */
  supply = null;

  connectedCallback() {
    this.hidden = true;
  }

  disconnectedCallback() {
    this.pause();
    this.#asking?.abort();
    if (this.#context instanceof AudioContext) void this.#context.close();
    this.#context = null;
    this.#mix.leave();
  }

  /** The context that sounds; a test may give one that renders to memory. */
  get context() {
    if (!this.#context) {
      const wanted = Number(this.getAttribute("sample-rate"));
      this.#context = new AudioContext(wanted ? { sampleRate: wanted, latencyHint: "interactive" } : {});
    }
    return this.#context;
  }

  set context(context) {
    this.#context = context;
    this.#mix.leave();
  }

  /** All stems together, before the loudspeaker. */
  get output() {
    return this.#mix.output(this.context);
  }

  get playing() {
    return this.#playing;
  }

  /** Whether play was asked for and the sound isn't there yet. */
  get waiting() {
    return this.#waiting;
  }

  /** The show time that is heard now, or where play will start. */
  get time() {
    return this.#playing ? this.#where().time : this.#time;
  }

  /** Whether a bar is counted in before the music starts. */
  get counts() {
    return this.#counts;
  }

  set counts(counts) {
    this.#counts = counts;
    this.#tell();
  }

  get percent() {
    return this.#percent;
  }

  /** The tempo in percent of the show tempo; what plays goes on in it as soon as there is sound. */
  set percent(percent) {
    if (percent === this.#percent) return;
    this.#percent = percent;
    void this.#bring(percent).catch(() => undefined);
    this.#tell();
  }

  get loop() {
    return this.#loop;
  }

  /** Bars by number, or a stretch in show seconds, to go round; null plays through. */
  set loop(loop) {
    if (JSON.stringify(loop) === JSON.stringify(this.#loop)) return;
    this.#loop = loop;
    if (this.#playing && this.#version) this.#handOver(this.#version);
    else {
      const stretch = stretchOf(this.#loop, this.view?.bars ?? []);
      if (stretch) this.#stand(stretch.start);
    }
    this.#tell();
  }

  /** The stems there are. @returns {Stem[]} */
  get stems() {
    return this.#mix.list();
  }

  /** @param {string} name @param {{on?: boolean, level?: number}} wish  level: 0 to 1 */
  setStem(name, wish) {
    this.#mix.set(name, wish);
    this.#tell();
  }

  /**
   * Gives the player the audio of a tempo; what plays in this tempo goes over to it without a gap.
   * @param {Supplied} supplied
   */
  async give({ percent, lead, stems }) {
    const buffers = await decodeStems(stems, this.context);
    const version = { percent, lead, buffers };
    for (const name of buffers.keys()) if (!this.#mix.has(name)) this.setStem(name, {});
    this.#versions.delete(percent);
    this.#versions.set(percent, version);
    this.#forget();
    if (percent === this.#percent) this.#adopt(version);
    return version;
  }

  /** After an edit: what there is keeps sounding until new audio has come. */
  async renew() {
    this.#versions.clear();
    await this.#bring(this.#percent);
  }

  async play() {
    if (this.#playing || this.#waiting) return;
    this.#waiting = true;
    this.#tell();
    try {
      if (this.context instanceof AudioContext) await this.context.resume();
      const version = this.#versions.get(this.#percent) ?? (await this.#bring(this.#percent)) ?? this.#version;
      if (this.#waiting && version) this.#start(version);
    } finally {
      this.#waiting = false;
      this.#tell();
    }
  }

  pause() {
    this.#waiting = false;
    if (!this.#playing) return;
    const { time, counting } = this.#where();
    this.#stop();
    this.#stand(counting ? this.#time : time);
    this.#tell();
  }

  toggle() {
    if (this.#playing || this.#waiting) this.pause();
    else return this.play();
    return Promise.resolve();
  }

  /** Goes to a show time; a loop that doesn't hold it is left alone and begins anew. @param {number} time */
  seek(time) {
    const length = this.view?.length ?? Infinity;
    const to = Math.min(Math.max(0, time), length);
    if (this.#playing && this.#version) this.#handOver(this.#version, to);
    else this.#stand(to);
  }

  /** Asks for the audio of a tempo unless it is there. @param {number} percent */
  async #bring(percent) {
    const there = this.#versions.get(percent);
    if (there) {
      this.#adopt(there);
      return there;
    }
    if (!this.supply) return null;
    this.#asking?.abort();
    const asking = (this.#asking = new AbortController());
    try {
      const supplied = await this.supply(percent, asking.signal);
      if (asking.signal.aborted) return null;
      return await this.give(supplied);
    } catch (fault) {
      if (asking.signal.aborted) return null;
      this.dispatchEvent(new CustomEvent("sw-silent", { bubbles: true, composed: true, detail: { fault } }));
      throw fault;
    }
  }

  /** @param {Version} version */
  #adopt(version) {
    if (version === this.#version) return;
    if (this.#playing) this.#handOver(version);
    this.#version = version;
    this.#tell();
  }

  /** Lets go of the audio that was used longest ago, never of what sounds. */
  #forget() {
    let held = 0;
    for (const [percent, version] of [...this.#versions].reverse()) {
      for (const buffer of version.buffers.values()) held += buffer.duration;
      if (held > MOST && version !== this.#version && percent !== this.#percent) this.#versions.delete(percent);
    }
  }

  /** @param {Version} version */
  #start(version) {
    const rate = this.context.sampleRate;
    const stretch = stretchOf(this.#loop, this.view?.bars ?? []);
    const inside = !stretch || (this.#time >= stretch.start && this.#time < stretch.end);
    const time = inside ? this.#time : /** @type {Stretch} */ (stretch).start;
    const ended = this.view && time >= this.view.length - 1e-3;
    this.#time = ended ? 0 : time;
    let at = onSample(this.context.currentTime + AHEAD, rate);
    const speed = version.percent / 100;
    if (this.#counts && this.view) {
      const { clicks, length } = countIn(this.view.bars, this.#time, speed);
      this.#clicks = soundClicks(this.context, this.output, clicks.map((click) => at + click));
      at = onSample(at + length, rate);
    }
    this.#version = version;
    this.#spans = [];
    this.#heardLast = 0;
    this.#playing = true;
    this.#sound(version, this.#audioPlace(version, this.#time), at, this.#time > 0 ? 0.003 : 0);
    this.#follow();
  }

  /** @param {Version} version @param {number} time  show seconds */
  #audioPlace(version, time) {
    return onSample(version.lead + (time * 100) / version.percent, this.context.sampleRate);
  }

  /**
   * Starts every stem at one sample and notes what sounds from then on.
   * @param {Version} version
   * @param {number} from  place in the audio
   * @param {number} at  context time
   * @param {number} fade
   */
  #sound(version, from, at, fade) {
    const stretch = stretchOf(this.#loop, this.view?.bars ?? []);
    const loop = stretch
      ? /** @type {[number, number]} */ ([
          this.#audioPlace(version, stretch.start),
          this.#audioPlace(version, stretch.end),
        ])
      : null;
    const take = startTake(this.context, version.buffers, { from, at, fade, loop }, (name) => this.#mix.node(name, this.context));
    if (take.sources.length) take.sources[0].onended = () => this.#ended(take);
    this.#take = take;
    this.#spans.push({ at, from, loop, lead: version.lead, rate: version.percent / 100 });
  }

  /**
   * Other audio, another loop or another place takes over at a sample to come; the old fades under it.
   * @param {Version} version
   * @param {number} [to]  show seconds; left out: where the music is then
   */
  #handOver(version, to) {
    const context = this.context;
    const last = this.#spans[this.#spans.length - 1];
    window.clearTimeout(this.#later);
    to ??= this.#goal;
    this.#goal = undefined;
    if (last.at + FADE > context.currentTime && this.#spans.length > 1) {
      // The take before is still to begin: this wish comes after it.
      this.#goal = to;
      this.#later = window.setTimeout(() => {
        if (this.#playing) this.#handOver(this.#version ?? version);
      }, 1000 * (last.at - context.currentTime + FADE));
      this.#version = version;
      return;
    }
    const counting = last.at > context.currentTime;
    const at = counting ? last.at : onSample(context.currentTime + NOTICE, context.sampleRate);
    const stretch = stretchOf(this.#loop, this.view?.bars ?? []);
    let time = to ?? (counting ? this.#time : showTime(last, at));
    if (to === undefined && stretch && !(time >= stretch.start && time < stretch.end)) time = stretch.start;
    releaseTake(this.#take, at, counting ? 0 : FADE);
    if (counting) {
      this.#spans = [];
      this.#time = time;
    }
    this.#version = version;
    const same = to === undefined && last.lead === version.lead && last.rate * 100 === version.percent;
    const from = same && time !== stretch?.start ? placeIn(last, at) : this.#audioPlace(version, time);
    this.#sound(version, onSample(from, context.sampleRate), at, counting ? 0 : FADE);
  }

  #stop() {
    window.clearTimeout(this.#later);
    this.#goal = undefined;
    const now = this.context.currentTime;
    releaseTake(this.#take, now, FADE);
    for (const click of this.#clicks) click.stop();
    this.#clicks = [];
    this.#take = null;
    this.#playing = false;
    cancelAnimationFrame(this.#frame);
  }

  /** @param {Take} take */
  #ended(take) {
    if (take !== this.#take) return;
    this.#stop();
    this.#stand(stretchOf(this.#loop, this.view?.bars ?? [])?.start ?? 0);
    this.#tell();
  }

  /** The context time that leaves the loudspeaker now. */
  #heard() {
    this.#heardLast = Math.max(this.#heardLast, heardTime(this.context));
    return this.#heardLast;
  }

  /** Where the music is that is heard now. */
  #where() {
    const heard = this.#heard();
    while (this.#spans.length > 1 && this.#spans[1].at <= heard) this.#spans.shift();
    const span = this.#spans[0];
    const counting = heard < span.at;
    return { time: Math.max(counting ? -Infinity : 0, showTime(span, heard)), counting };
  }

  #follow() {
    cancelAnimationFrame(this.#frame);
    const each = () => {
      if (!this.#playing) return;
      const { time, counting } = this.#where();
      this.#send("sw-time", { time, playing: true, counting });
      this.#frame = requestAnimationFrame(each);
    };
    each();
  }

  /** Stands still at a show time. @param {number} time */
  #stand(time) {
    this.#time = Math.max(0, time);
    this.#send("sw-time", { time: this.#time, playing: false, counting: false });
  }

  #tell() {
    this.#send("sw-state", {
      playing: this.#playing,
      waiting: this.#waiting,
      loop: this.#loop,
      percent: this.#percent,
      ready: this.#versions.has(this.#percent),
      stems: this.stems,
    });
  }

  /** @param {string} name @param {object} detail */
  #send(name, detail) {
    this.dispatchEvent(new CustomEvent(name, { bubbles: true, composed: true, detail }));
  }
}

customElements.define("sw-player", Player);
