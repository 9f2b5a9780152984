// Plays a tune's stems in step, goes round a loop to the sample, and says where the music is.
//
// A version is the whole tune at one tempo: an audio buffer for each stem, all of one length, and the
// second (`lead`) at which the tune begins in them. Places in the audio and seconds at the show tempo are
// in proportion. Everything is started at one time of the audio context's clock; a change while it
// plays (tempo, loop, an edited line) is another set of sources that takes over at a sample to come.

import { closeLoop, countIn, onSample, placeIn, showTime, spanAt } from "./timeline.js";

/**
 * @typedef {import("./types.js").View} View
 * @typedef {import("./types.js").Bars} Bars
 * @typedef {import("./timeline.js").Span} Span
 * @typedef {{start: number, end: number}} Stretch  show seconds
 * @typedef {{percent: number, lead: number, stems: Record<string, AudioBuffer|ArrayBuffer>}} Supplied
 * @typedef {(percent: number, signal: AbortSignal) => Promise<Supplied>} Supply
 * @typedef {{percent: number, lead: number, buffers: Map<string, AudioBuffer>}} Version
 * @typedef {{sources: AudioBufferSourceNode[], gates: GainNode[]}} Take  what was started together
 * @typedef {{name: string, on: boolean, level: number}} Stem
 */

const AHEAD = 0.06; // seconds from a wish to the sample where it takes effect
const FADE = 0.012; // in which one set of sources hands over to the next
const SEAM = 0.003; // in which a loop's end passes over into its beginning
const LONGEST = 90; // seconds of a loop that is closed; a longer one isn't copied for the sake of a click
const SOFT = 0.015; // time constant of a stem's level
const MOST = 1800; // stem-seconds of audio that are kept decoded: about 350 MB
const ORDER = ["guitar", "bass", "drums", "comping", "brass", "click", "drone"];

export class Player extends HTMLElement {
  /** @type {View|null} */ #view = null;
  /** @type {BaseAudioContext|null} */ #context = null;
  /** @type {GainNode|null} */ #master = null;
  /** @type {Map<string, {gain: GainNode|null, on: boolean, level: number}>} */ #stems = new Map();
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
  #heardLast = 0;

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
    this.#master = null;
    for (const stem of this.#stems.values()) stem.gain = null;
  }

  get view() {
    return this.#view;
  }

  set view(view) {
    this.#view = view;
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
    this.#master = null;
  }

  /** All stems together, before the loudspeaker. */
  get output() {
    if (!this.#master) {
      this.#master = this.context.createGain();
      this.#master.connect(this.context.destination);
    }
    return this.#master;
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
      const stretch = this.#stretch();
      if (stretch) this.#stand(stretch.start);
    }
    this.#tell();
  }

  /** The stems there are, loudest first in the eye of a player. @returns {Stem[]} */
  get stems() {
    const known = [...this.#stems].map(([name, { on, level }]) => ({ name, on, level }));
    return known.sort((one, other) => place(one.name) - place(other.name));
  }

  /** @param {string} name @param {{on?: boolean, level?: number}} wish  level: 0 to 1 */
  setStem(name, wish) {
    const stem = this.#stems.get(name) ?? { gain: null, on: true, level: 1 };
    Object.assign(stem, wish);
    this.#stems.set(name, stem);
    if (stem.gain) stem.gain.gain.setTargetAtTime(stem.on ? stem.level : 0, this.context.currentTime, SOFT);
    this.#tell();
  }

  /**
   * Gives the player the audio of a tempo; what plays in this tempo goes over to it without a gap.
   * @param {Supplied} supplied
   */
  async give({ percent, lead, stems }) {
    const entries = Object.entries(stems).map(async ([name, sound]) => {
      const buffer = sound instanceof ArrayBuffer ? await this.context.decodeAudioData(sound) : sound;
      return /** @type {[string, AudioBuffer]} */ ([name, buffer]);
    });
    const buffers = new Map(await Promise.all(entries));
    const version = { percent, lead, buffers };
    for (const name of buffers.keys()) if (!this.#stems.has(name)) this.setStem(name, {});
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
    const length = this.#view?.length ?? Infinity;
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

  /** @returns {Stretch|null} the loop in show seconds */
  #stretch() {
    const loop = this.#loop;
    if (!loop) return null;
    if ("start" in loop) return loop;
    const bars = this.#view?.bars ?? [];
    const first = bars.find((bar) => bar.number === loop.first);
    const last = bars.find((bar) => bar.number === loop.last);
    return first && last ? { start: first.time, end: last.time + last.length } : null;
  }

  /** @param {Version} version */
  #start(version) {
    const rate = this.context.sampleRate;
    const stretch = this.#stretch();
    const inside = !stretch || (this.#time >= stretch.start && this.#time < stretch.end);
    const time = inside ? this.#time : /** @type {Stretch} */ (stretch).start;
    const ended = this.#view && time >= this.#view.length - 1e-3;
    this.#time = ended ? 0 : time;
    let at = onSample(this.context.currentTime + AHEAD, rate);
    const speed = version.percent / 100;
    if (this.#counts && this.#view) {
      const { clicks, length } = countIn(this.#view.bars, this.#time, speed);
      this.#count(clicks.map((click) => at + click));
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
    const stretch = this.#stretch();
    const loop = stretch
      ? /** @type {[number, number]} */ ([
          this.#audioPlace(version, stretch.start),
          this.#audioPlace(version, stretch.end),
        ])
      : null;
    const closes = loop && from < loop[1] && loop[1] - loop[0] < LONGEST ? loop : null;
    /** @type {Take} */
    const take = { sources: [], gates: [] };
    for (const [name, buffer] of version.buffers) {
      const source = this.context.createBufferSource();
      const origin = closes ? this.#loopIn(source, buffer, closes, from) : 0;
      source.buffer ??= buffer;
      if (loop && !closes) {
        source.loop = true;
        [source.loopStart, source.loopEnd] = loop;
      }
      const gate = this.context.createGain();
      if (fade) {
        gate.gain.setValueAtTime(0, at);
        gate.gain.linearRampToValueAtTime(1, at + fade);
      }
      source.connect(gate).connect(this.#stem(name));
      source.start(at, onSample(from - origin, buffer.sampleRate));
      take.sources.push(source);
      take.gates.push(gate);
    }
    if (take.sources.length) take.sources[0].onended = () => this.#ended(take);
    this.#take = take;
    this.#spans.push({ at, from, loop, lead: version.lead, rate: version.percent / 100 });
  }

  /**
   * Sets a source to go round a loop whose seam is closed: in a copy of as much of the audio as it needs.
   * @param {AudioBufferSourceNode} source @param {AudioBuffer} buffer @param {[number, number]} loop @param {number} from
   * @returns {number} the second of the audio where the copy begins
   */
  #loopIn(source, buffer, loop, from) {
    const rate = buffer.sampleRate;
    const seam = Math.round(SEAM * rate);
    const [start, end] = loop.map((place) => Math.round(place * rate));
    const origin = Math.max(0, Math.min(start, Math.round(from * rate)) - seam);
    const copy = new AudioBuffer({ length: end - origin, numberOfChannels: buffer.numberOfChannels, sampleRate: rate });
    for (let channel = 0; channel < buffer.numberOfChannels; channel += 1) {
      const wave = copy.getChannelData(channel);
      wave.set(buffer.getChannelData(channel).subarray(origin, end));
      closeLoop(wave, start - origin, end - origin, seam);
    }
    source.buffer = copy;
    source.loop = true;
    source.loopStart = (start - origin) / rate;
    source.loopEnd = (end - origin) / rate;
    return origin / rate;
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
    if (last.at > context.currentTime && this.#spans.length > 1) {
      // The take before is still to begin: this wish comes after it.
      this.#later = window.setTimeout(() => {
        if (this.#playing) this.#handOver(this.#version ?? version, to);
      }, 1000 * (last.at - context.currentTime + FADE));
      this.#version = version;
      return;
    }
    const counting = last.at > context.currentTime;
    const at = counting ? last.at : onSample(context.currentTime + AHEAD, context.sampleRate);
    const stretch = this.#stretch();
    let time = to ?? (counting ? this.#time : showTime(last, at));
    if (to === undefined && stretch && !(time >= stretch.start && time < stretch.end)) time = stretch.start;
    this.#release(this.#take, at, counting ? 0 : FADE);
    if (counting) {
      this.#spans = [];
      this.#time = time;
    }
    this.#version = version;
    const same = to === undefined && last.lead === version.lead && last.rate * 100 === version.percent;
    const from = same && time !== stretch?.start ? placeIn(last, at) : this.#audioPlace(version, time);
    this.#sound(version, onSample(from, context.sampleRate), at, counting ? 0 : FADE);
  }

  /** @param {Take|null} take @param {number} at @param {number} fade */
  #release(take, at, fade) {
    if (!take) return;
    if (take.sources.length) take.sources[0].onended = null;
    for (const gate of take.gates) {
      gate.gain.setValueAtTime(1, at);
      if (fade) gate.gain.linearRampToValueAtTime(0, at + fade);
    }
    for (const source of take.sources) source.stop(at + fade);
  }

  #stop() {
    window.clearTimeout(this.#later);
    const now = this.context.currentTime;
    this.#release(this.#take, now, FADE);
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
    this.#stand(this.#stretch()?.start ?? 0);
    this.#tell();
  }

  /** @param {string} name */
  #stem(name) {
    const stem = this.#stems.get(name) ?? { gain: null, on: true, level: 1 };
    this.#stems.set(name, stem);
    if (!stem.gain || stem.gain.context !== this.context) {
      stem.gain = this.context.createGain();
      stem.gain.gain.value = stem.on ? stem.level : 0;
      stem.gain.connect(this.output);
    }
    return stem.gain;
  }

  /** @param {number[]} times  context times; the first is stressed */
  #count(times) {
    this.#clicks = times.map((at, order) => {
      const tone = this.context.createOscillator();
      const gate = this.context.createGain();
      tone.frequency.value = order ? 1050 : 1570;
      gate.gain.setValueAtTime(0.35, at);
      gate.gain.exponentialRampToValueAtTime(0.001, at + 0.045);
      tone.connect(gate).connect(this.output);
      tone.start(at);
      tone.stop(at + 0.05);
      return tone;
    });
  }

  /** The context time that leaves the loudspeaker now. */
  #heard() {
    const context = this.context;
    let heard = context.currentTime;
    if (context instanceof AudioContext) {
      const stamp = context.getOutputTimestamp();
      const since = (performance.now() - (stamp.performanceTime ?? 0)) / 1000;
      const told = (stamp.contextTime ?? 0) + since;
      const sane = stamp.performanceTime && told <= heard + 0.05 && told > heard - 1;
      heard = sane ? told : heard - (context.outputLatency || context.baseLatency || 0);
    }
    this.#heardLast = Math.max(this.#heardLast, heard);
    return this.#heardLast;
  }

  /** Where the music is that is heard now. */
  #where() {
    const heard = this.#heard();
    const span = spanAt(this.#spans, heard);
    const counting = heard < span.at && span === this.#spans[0];
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

/** @param {string} name */
const place = (name) => (ORDER.indexOf(name) + 1 || ORDER.length + 1);

customElements.define("sw-player", Player);
