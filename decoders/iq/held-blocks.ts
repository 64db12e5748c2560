import type { AudioBlock } from '../audio/types.ts';

/** Copies of the last blocks of a stream, a stated number of frames at least. */
export class HeldBlocks {
  readonly #leastFrames: number;
  readonly #blocks: AudioBlock[] = [];
  #frames = 0;

  constructor(leastFrames: number) {
    this.#leastFrames = leastFrames;
  }

  get frames(): number {
    return this.#frames;
  }

  add({ frames, channels }: AudioBlock): void {
    this.#blocks.push({ frames, channels: channels.map((samples) => samples.slice(0, frames)) });
    this.#frames += frames;
    while (this.#frames - this.#blocks[0].frames >= this.#leastFrames) {
      this.#frames -= this.#blocks[0].frames;
      this.#blocks.shift();
    }
  }

  /** Takes all blocks out, oldest first. */
  takeAll(): AudioBlock[] {
    this.#frames = 0;
    return this.#blocks.splice(0);
  }
}
