// What is started together: sources with a gate each, the clicks of a count-in, and when they are heard.

import { closeLoop, onSample } from "./timeline.js";

/**
 * @typedef {{sources: AudioBufferSourceNode[], gates: GainNode[]}} Take
 * @typedef {[number, number]} Loop  seconds of the audio
 * @typedef {{from: number, at: number, fade: number, loop: Loop|null}} Start  from: second of the audio;
 *   at: context time; fade: seconds in which it comes up
 */

const SEAM = 0.003; // in which a loop's end passes over into its beginning
const LONGEST = 90; // seconds of a loop that is closed; a longer one isn't copied for the sake of a click

/**
 * Starts buffers at one sample, each into the node that `into` gives for its name.
 * @param {BaseAudioContext} context
 * @param {Map<string, AudioBuffer>} buffers
 * @param {Start} start
 * @param {(name: string) => AudioNode} into
 * @returns {Take}
 */
export function startTake(context, buffers, { from, at, fade, loop }, into) {
  const closes = loop && from < loop[1] && loop[1] - loop[0] < LONGEST ? loop : null;
  /** @type {Take} */
  const take = { sources: [], gates: [] };
  for (const [name, buffer] of buffers) {
    const source = context.createBufferSource();
    const origin = closes ? goRound(source, buffer, closes, from) : 0;
    source.buffer ??= buffer;
    if (loop && !closes) {
      source.loop = true;
      [source.loopStart, source.loopEnd] = loop;
    }
    const gate = context.createGain();
    if (fade) {
      gate.gain.value = 0; // a source may begin a sample before its gate's first event
      gate.gain.setValueAtTime(0, at);
      gate.gain.linearRampToValueAtTime(1, at + fade);
    }
    source.connect(gate).connect(into(name));
    source.start(at, onSample(from - origin, buffer.sampleRate));
    take.sources.push(source);
    take.gates.push(gate);
  }
  return take;
}

/**
 * Sets a source to go round a loop whose seam is closed, in a copy of as much of the audio as it needs.
 * @param {AudioBufferSourceNode} source
 * @param {AudioBuffer} buffer
 * @param {Loop} loop
 * @param {number} from
 * @returns {number} the second of the audio where the copy begins
 */
function goRound(source, buffer, loop, from) {
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
 * Lets a take fade out from a context time on, and end.
 * @param {Take|null} take
 * @param {number} at
 * @param {number} fade
 */
export function releaseTake(take, at, fade) {
  if (!take) return;
  if (take.sources.length) take.sources[0].onended = null;
  for (const gate of take.gates) {
    gate.gain.setValueAtTime(1, at);
    if (fade) gate.gain.linearRampToValueAtTime(0, at + fade);
  }
  for (const source of take.sources) source.stop(at + fade);
}

/**
 * Clicks at context times, the first of them stressed.
 * @param {BaseAudioContext} context
 * @param {AudioNode} output
 * @param {number[]} times
 * @returns {AudioScheduledSourceNode[]}
 */
export function soundClicks(context, output, times) {
  return times.map((at, order) => {
    const tone = context.createOscillator();
    const gate = context.createGain();
    tone.frequency.value = order ? 1050 : 1570;
    gate.gain.setValueAtTime(0.35, at);
    gate.gain.exponentialRampToValueAtTime(0.001, at + 0.045);
    tone.connect(gate).connect(output);
    tone.start(at);
    tone.stop(at + 0.05);
    return tone;
  });
}

/**
 * The context time that leaves the loudspeaker now: the clock of the sound that is put out, or where the
 * browser doesn't give it, the context's less its latency.
 * @param {BaseAudioContext} context
 */
export function heardTime(context) {
  const now = context.currentTime;
  if (!(context instanceof AudioContext)) return now;
  const stamp = context.getOutputTimestamp();
  const told = (stamp.contextTime ?? 0) + (performance.now() - (stamp.performanceTime ?? 0)) / 1000;
  if (stamp.performanceTime && told <= now + 0.05 && told > now - 1) return told;
  return now - (context.outputLatency || context.baseLatency || 0);
}
