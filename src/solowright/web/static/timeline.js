// What sounds when: spans of an audio context's time, each with the place in the audio that it began at.
// Plain functions of numbers, so that they can be checked without a sound card. Units: seconds.

/**
 * From context time `at` on, the audio sounds from second `from`, and goes round `loop` once it is there.
 * `lead` is where the tune begins in the audio, `rate` the show seconds in a second of it.
 * @typedef {object} Span
 * @property {number} at
 * @property {number} from
 * @property {[number, number]|null} loop
 * @property {number} lead
 * @property {number} rate
 */

/**
 * The place in the audio at a context time; before the span begins it lies before `from`. What begins
 * behind a loop never gets into it.
 * @param {Span} span
 * @param {number} time
 */
export function placeIn(span, time) {
  const place = span.from + (time - span.at);
  if (!span.loop || place < span.loop[1] || span.from >= span.loop[1]) return place;
  const [start, end] = span.loop;
  return start + ((place - start) % (end - start));
}

/**
 * The show time at a context time.
 * @param {Span} span
 * @param {number} time
 */
export const showTime = (span, time) => (placeIn(span, time) - span.lead) * span.rate;

/**
 * The span in force at a context time: the last that has begun, or the first while none has.
 * @param {Span[]} spans  in order
 * @param {number} time
 */
export function spanAt(spans, time) {
  for (let n = spans.length - 1; n > 0; n -= 1) if (spans[n].at <= time) return spans[n];
  return spans[0];
}

/**
 * A time moved to the nearest sample, so that nothing has to be interpolated.
 * @param {number} seconds
 * @param {number} sampleRate
 */
export const onSample = (seconds, sampleRate) => Math.round(seconds * sampleRate) / sampleRate;

/**
 * The clicks that count a bar in: seconds from the first click, and how long the count lasts.
 * A bar that is cut short (a pickup) is counted as the bar after it.
 * @param {import("./types.js").Bar[]} bars
 * @param {number} time  show time where the music will start
 * @param {number} rate  show seconds in a second of audio
 * @returns {{clicks: number[], length: number}}
 */
export function countIn(bars, time, rate) {
  if (!bars.length) return { clicks: [], length: 0 };
  let index = bars.findLastIndex((bar) => bar.time <= time + 1e-6);
  if (index < 1 && bars.length > 1 && bars[0].number === 0) index = 1;
  const bar = bars[Math.max(0, index)];
  return { clicks: bar.pulses.map((pulse) => (pulse - bar.time) / rate), length: bar.length / rate };
}

/**
 * A loop's audio with a seam that doesn't click: its last samples pass over into those that come before
 * its first, so that the wave goes on where the loop turns round. Nothing is moved in time.
 * @param {Float32Array} wave  audio from any place before the loop to its end at least
 * @param {number} start  sample where the loop begins
 * @param {number} end  sample where it turns round
 * @param {number} seam  samples that pass over, at the most
 */
export function closeLoop(wave, start, end, seam) {
  const length = Math.min(seam, end - start);
  for (let n = 0; n < length; n += 1) {
    const share = (n + 1) / (length + 1);
    const before = start - length + n;
    wave[end - length + n] = (1 - share) * wave[end - length + n] + share * (before >= 0 ? wave[before] : 0);
  }
}
