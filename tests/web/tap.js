// Listens to what leaves the player: the context's own time of every tick.
class Tap extends AudioWorkletProcessor {
  rest = 0;

  process([[wave]]) {
    for (let n = 0; wave && n < wave.length; n += 1) {
      this.rest -= 1;
      if (Math.abs(wave[n]) < 0.1 || this.rest > 0) continue;
      this.port.postMessage((currentFrame + n) / sampleRate);
      this.rest = 500;
    }
    return true;
  }
}
registerProcessor("tap", Tap);

// Tells how low and how high the wave has been since it was last asked.
class Range extends AudioWorkletProcessor {
  low = Infinity;
  high = -Infinity;

  constructor() {
    super();
    this.port.onmessage = () => {
      this.port.postMessage([this.low, this.high]);
      [this.low, this.high] = [Infinity, -Infinity];
    };
  }

  process([[wave]]) {
    for (const value of wave ?? [0]) {
      this.low = Math.min(this.low, value);
      this.high = Math.max(this.high, value);
    }
    return true;
  }
}
registerProcessor("range", Range);
