import { BYTES_PER_SAMPLE, Deinterleaver, type SampleFormat } from '../audio/sample-format.ts';

/** How bare samples may lie in a stream, by their usual names. */
export const RAW_ENCODINGS = {
  u8: 'pcm8',
  s16le: 'pcm16',
  s24le: 'pcm24',
  s32le: 'pcm32',
  f32le: 'float32',
  f64le: 'float64',
  alaw: 'a-law',
  mulaw: 'mu-law',
} as const satisfies Record<string, SampleFormat>;

export type RawEncoding = keyof typeof RAW_ENCODINGS;

export const bytesPerRawSample = (encoding: RawEncoding): number => BYTES_PER_SAMPLE[RAW_ENCODINGS[encoding]];

/** Samples converted at once; a multiple of 8, which the views of every format need. */
const AT_ONCE = 512;

/** Bytes of bare samples in pieces of any size -> samples of one channel, -1..1, given out as soon as they are whole. */
export class RawSamples {
  readonly #frameBytes: number;
  readonly #bytes: Uint8Array;
  readonly #deinterleaver: Deinterleaver;
  readonly #channels: readonly Float32Array[];
  #filled = 0;

  /** @param channels interleaved; the first is taken. */
  constructor(encoding: RawEncoding, channels = 1) {
    const format = RAW_ENCODINGS[encoding];
    this.#frameBytes = channels * BYTES_PER_SAMPLE[format];
    this.#bytes = new Uint8Array(AT_ONCE * this.#frameBytes);
    this.#deinterleaver = new Deinterleaver(this.#bytes.buffer, format);
    this.#channels = Array.from({ length: channels }, () => new Float32Array(AT_ONCE));
  }

  /** Blocks handed to `onSamples` are used again: copy what must last. */
  push(bytes: Uint8Array, onSamples: (samples: Float32Array) => void): void {
    for (let at = 0; at < bytes.length; ) {
      const piece = bytes.subarray(at, at + this.#bytes.length - this.#filled);
      this.#bytes.set(piece, this.#filled);
      this.#filled += piece.length;
      at += piece.length;
      this.#giveOut(onSamples);
    }
  }

  #giveOut(onSamples: (samples: Float32Array) => void): void {
    const frames = Math.floor(this.#filled / this.#frameBytes);
    if (frames === 0) return;
    this.#deinterleaver.read(frames, this.#channels);
    onSamples(this.#channels[0].subarray(0, frames));
    const taken = frames * this.#frameBytes;
    this.#bytes.copyWithin(0, taken, this.#filled);
    this.#filled -= taken;
  }
}
