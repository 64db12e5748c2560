import { BLOCK_FRAMES } from './block-stream.ts';
import { LevelWatch } from './level-watch.ts';
import type { SampleFormat } from './sample-format.ts';
import { BYTES_PER_SAMPLE, Deinterleaver } from './sample-format.ts';
import type { AudioBlock, AudioProblem } from './types.ts';

/**
 * Bare interleaved samples in pieces of any size -> blocks of `BLOCK_FRAMES` frames, whatever the pieces; memory for one
 * block. The last block may be shorter; bytes of an unfinished frame at the very end are left out.
 *
 * Problems: `no-samples`, `not-finite`, `silent`, `clipped`.
 */
export class SampleStream {
  /** Frames given out so far. */
  frames = 0;
  readonly #sampleRateHz: number;
  readonly #frameBytes: number;
  readonly #blockBytes: number;
  readonly #bytes: Uint8Array;
  #filled = 0;
  readonly #deinterleaver: Deinterleaver;
  readonly #channels: readonly Float32Array[];
  readonly #levels = new LevelWatch();
  #replaced = 0;
  #firstReplacedSeconds = 0;

  constructor(format: SampleFormat, channels: number, sampleRateHz: number) {
    this.#sampleRateHz = sampleRateHz;
    this.#frameBytes = channels * BYTES_PER_SAMPLE[format];
    this.#blockBytes = BLOCK_FRAMES * this.#frameBytes;
    this.#bytes = new Uint8Array(this.#blockBytes);
    this.#deinterleaver = new Deinterleaver(this.#bytes.buffer, format);
    this.#channels = Array.from({ length: channels }, () => new Float32Array(BLOCK_FRAMES));
  }

  push(bytes: Uint8Array, onBlock: (block: AudioBlock) => void): void {
    for (let at = 0; at < bytes.length; ) {
      const taken = Math.min(this.#blockBytes - this.#filled, bytes.length - at);
      this.#bytes.set(bytes.subarray(at, at + taken), this.#filled);
      this.#filled += taken;
      at += taken;
      if (this.#filled === this.#blockBytes) this.#giveOut(onBlock);
    }
  }

  end(onBlock: (block: AudioBlock) => void): void {
    if (this.#filled >= this.#frameBytes) this.#giveOut(onBlock);
  }

  /** What was wrong with all samples given out. */
  problems(): AudioProblem[] {
    const problems = this.#levels.problems();
    if (this.#replaced > 0) {
      const message = `${this.#replaced} sample values are no finite numbers; they were taken as 0.`;
      problems.push({ code: 'not-finite', message, atSeconds: this.#firstReplacedSeconds });
    }
    return problems;
  }

  #giveOut(onBlock: (block: AudioBlock) => void): void {
    const frames = Math.floor(this.#filled / this.#frameBytes);
    const replaced = this.#deinterleaver.read(frames, this.#channels);
    if (replaced > 0 && this.#replaced === 0) this.#firstReplacedSeconds = this.frames / this.#sampleRateHz;
    this.#replaced += replaced;
    this.#filled = 0;
    this.frames += frames;
    const block = { frames, channels: this.#channels };
    this.#levels.add(block);
    onBlock(block);
  }
}
