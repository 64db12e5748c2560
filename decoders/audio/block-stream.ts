import { LevelWatch } from './level-watch.ts';
import type { AudioBlock, AudioProblem } from './types.ts';

/** Frames of every block but the last. */
export const BLOCK_FRAMES = 4096;

/**
 * Decoded samples in stretches of any length -> blocks of `BLOCK_FRAMES` frames, so that what follows never sees how a
 * codec cuts its stream; memory for one block. The last block may be shorter.
 *
 * Problems: `no-samples`, `silent`, `clipped`.
 */
export class BlockStream {
  /** Frames taken in so far. */
  frames = 0;
  readonly #channels: readonly Float32Array[];
  #filled = 0;
  readonly #levels = new LevelWatch();

  constructor(channels: number) {
    this.#channels = Array.from({ length: channels }, () => new Float32Array(BLOCK_FRAMES));
  }

  /** Takes frames `from` to before `to` of every channel. */
  push(channels: readonly Float32Array[], from: number, to: number, onBlock: (block: AudioBlock) => void): void {
    for (let at = from; at < to; ) {
      const taken = Math.min(BLOCK_FRAMES - this.#filled, to - at);
      for (let c = 0; c < this.#channels.length; c++) {
        this.#channels[c].set(channels[c].subarray(at, at + taken), this.#filled);
      }
      at += taken;
      this.#advance(taken, onBlock);
    }
  }

  /** Takes so many frames of silence: what stands for a stretch that could not be read. */
  pushSilence(frames: number, onBlock: (block: AudioBlock) => void): void {
    for (let left = frames; left > 0; ) {
      const taken = Math.min(BLOCK_FRAMES - this.#filled, left);
      for (const channel of this.#channels) channel.fill(0, this.#filled, this.#filled + taken);
      left -= taken;
      this.#advance(taken, onBlock);
    }
  }

  end(onBlock: (block: AudioBlock) => void): void {
    if (this.#filled > 0) this.#giveOut(onBlock);
  }

  /** What was wrong with all samples given out. */
  problems(): AudioProblem[] {
    return this.#levels.problems();
  }

  #advance(frames: number, onBlock: (block: AudioBlock) => void): void {
    this.frames += frames;
    this.#filled += frames;
    if (this.#filled === BLOCK_FRAMES) this.#giveOut(onBlock);
  }

  #giveOut(onBlock: (block: AudioBlock) => void): void {
    const block = { frames: this.#filled, channels: this.#channels };
    this.#filled = 0;
    this.#levels.add(block);
    onBlock(block);
  }
}
