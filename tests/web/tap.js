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
