/** What the worklet sends: samples of the first channel, and the wall clock when the last of them had come. */
export interface CapturedBlock {
  readonly samples: Float32Array;
  readonly atMs: number;
}

/** The part of `AudioWorkletGlobalScope` that is used here. */
declare class AudioWorkletProcessor {
  readonly port: MessagePort;
}
declare function registerProcessor(name: string, processor: typeof AudioWorkletProcessor): void;

/** Samples sent at once: a fiftieth of a second at the usual rates. */
const BLOCK_SAMPLES = 1024;

/** Hands what the input gives to a port, which comes as the first message and leads to the decoder's worker. */
class Capture extends AudioWorkletProcessor {
  #block = new Float32Array(BLOCK_SAMPLES);
  #filled = 0;
  #out: MessagePort | null = null;

  constructor() {
    super();
    this.port.onmessage = ({ ports }: MessageEvent<unknown>) => {
      this.#out = ports[0] ?? null;
    };
  }

  process(inputs: readonly (readonly Float32Array[])[]): boolean {
    const samples = inputs[0]?.[0];
    // without an input there is nothing to hear, which shows as a gap
    if (samples === undefined) return true;
    this.#block.set(samples, this.#filled);
    this.#filled += samples.length;
    if (this.#filled < BLOCK_SAMPLES) return true;
    const captured: CapturedBlock = { samples: this.#block, atMs: Date.now() };
    this.#out?.postMessage(captured, [captured.samples.buffer]);
    this.#block = new Float32Array(BLOCK_SAMPLES);
    this.#filled = 0;
    return true;
  }
}

registerProcessor('capture', Capture);
