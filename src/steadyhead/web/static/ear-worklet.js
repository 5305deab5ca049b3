// Gathers the microphone's samples into blocks of about 50 ms and hands them on as 16-bit numbers.
class Gather extends AudioWorkletProcessor {
  constructor() {
    super();
    this.size = Math.round(sampleRate * 0.05);
    this.block = new Int16Array(this.size);
    this.filled = 0;
  }

  process(inputs) {
    const channel = inputs[0][0];
    if (!channel) return true;
    for (let i = 0; i < channel.length; i += 1) {
      const held = Math.max(-1, Math.min(1, channel[i]));
      this.block[this.filled] = Math.round(held * 32767);
      this.filled += 1;
      if (this.filled === this.size) {
        this.port.postMessage(this.block.buffer, [this.block.buffer]);
        this.block = new Int16Array(this.size);
        this.filled = 0;
      }
    }
    return true;
  }
}
registerProcessor("gather", Gather);
