import type { BlockStream } from '../block-stream.ts';
import type { DamageLog } from '../damage-log.ts';
import { LONGEST_SECONDS } from '../length-limit.ts';
import type { AudioBlock } from '../types.ts';
import type { OggSamples } from './codec.ts';

/** Below this a granule position that disagrees is a writer's carelessness, not a loss. */
const TOLERANCE_SECONDS = 0.02;

/** What the samples of a page are placed by. */
export interface PagePlace {
  readonly granule: number | null;
  /** Pages before this one are missing. */
  readonly gap: boolean;
  /** Last of its stream. */
  readonly last: boolean;
}

/**
 * Puts the samples of the pages of one logical stream where their granule positions say (RFC 3533, section 6): what is
 * missing becomes silence, what lies beyond the stated end or before the stated start is cut off. A stream whose first
 * page does not begin at 0, as one cut out of a longer one, begins with its first sample.
 */
export class OggTimeBase {
  readonly #blocks: BlockStream;
  readonly #damage: DamageLog;
  readonly #sampleRateHz: number;
  #skip: number;
  /** Granule position of the first sample; null until it is known. */
  #origin: number | null = null;
  /** Frames since `#origin`, the skipped ones included. */
  #position = 0;
  #gap = false;

  /** @param skip frames at the start that are no sound. */
  constructor(blocks: BlockStream, damage: DamageLog, sampleRateHz: number, skip: number) {
    this.#blocks = blocks;
    this.#damage = damage;
    this.#sampleRateHz = sampleRateHz;
    this.#skip = skip;
  }

  place(samples: readonly OggSamples[], { granule, gap, last }: PagePlace, onBlock: (block: AudioBlock) => void): void {
    const frames = samples.reduce((sum, each) => sum + each.frames, 0);
    this.#gap ||= gap;
    let from = 0;
    let to = frames;
    if (granule !== null && (frames > 0 || last)) {
      this.#origin ??= this.#gap ? 0 : Math.max(0, granule - this.#position - frames);
      const surplus = granule - this.#origin - this.#position - frames;
      const tolerance = this.#gap ? 0 : TOLERANCE_SECONDS * this.#sampleRateHz;
      if (surplus > tolerance) this.#fill(surplus, onBlock);
      else if (surplus < 0 && last) to = Math.max(0, frames + surplus);
      else if (surplus < 0 && (this.#gap || this.#position === 0)) from = Math.min(frames, -surplus);
      // A position that runs backwards for no reason: the writer began to count anew.
      else if (surplus < -tolerance) this.#origin += surplus;
      this.#gap = false;
    }
    this.#position += to - from;
    let start = 0;
    for (const each of samples) {
      this.#write(each, Math.max(from - start, 0), Math.min(to - start, each.frames), onBlock);
      start += each.frames;
    }
  }

  #fill(frames: number, onBlock: (block: AudioBlock) => void): void {
    const from = this.#blocks.frames;
    // What lies beyond the longest recording is not given out anyway.
    const kept = Math.min(frames - this.#skipped(frames), LONGEST_SECONDS * this.#sampleRateHz);
    this.#damage.add(from / this.#sampleRateHz, (from + kept) / this.#sampleRateHz);
    this.#position += frames;
    this.#blocks.pushSilence(kept, onBlock);
  }

  #write({ channels }: OggSamples, from: number, to: number, onBlock: (block: AudioBlock) => void): void {
    if (to <= from) return;
    const start = from + this.#skipped(to - from);
    if (channels === null) this.#blocks.pushSilence(to - start, onBlock);
    else this.#blocks.push(channels, start, to, onBlock);
  }

  /** How many of the next `frames` are no sound. */
  #skipped(frames: number): number {
    const skipped = Math.min(this.#skip, frames);
    this.#skip -= skipped;
    return skipped;
  }
}
