import { encodeFlac } from '../audio/flac-write.ts';
import { SIMULATED } from '../audio/info-chunk.ts';
import type { AudioBlock } from '../audio/types.ts';
import { BandSound, ChannelSound, type StretchSound } from './stretch-sound.ts';
import type { BurstStretch, CutOut } from './types.ts';

/** A stretch that peaks below this is written louder: 16 bits would be coarse for it. */
const QUIET_PEAK = 1 / 32;

export interface CutterOptions {
  readonly sampleRateHz: number;
  /** Said inside the cut-outs, too: what nobody ever sent stays marked. */
  readonly simulated: boolean;
  /** Whether the first two channels are the parts of a complex band. */
  readonly isBand?: boolean;
}

interface Running {
  readonly stretch: BurstStretch;
  readonly first: number;
  readonly frames: number;
  readonly sound: StretchSound;
  filled: number;
}

/** Cuts stretches out of a recording that is read once more. Holds the samples of the stretches that it is within. */
export class Cutter {
  readonly #options: CutterOptions;
  readonly #waiting: BurstStretch[];
  #running: Running[] = [];
  #frames = 0;

  /** @param stretches in the order of their starts. */
  constructor(stretches: readonly BurstStretch[], options: CutterOptions) {
    this.#options = options;
    this.#waiting = [...stretches];
  }

  /** Whether all stretches have been given out. */
  get isDone(): boolean {
    return this.#waiting.length === 0 && this.#running.length === 0;
  }

  take(block: AudioBlock, onCutOut: (cutOut: CutOut) => void): void {
    const end = this.#frames + block.frames;
    while (this.#waiting.length > 0 && this.#frameAt(this.#waiting[0].startSeconds) < end) this.#begin();
    for (const running of this.#running) this.#fill(running, block);
    this.#frames = end;
    const isFull = ({ filled, frames }: Running): boolean => filled === frames;
    for (const running of this.#running) if (isFull(running)) onCutOut(this.#cutOutOf(running));
    this.#running = this.#running.filter((running) => !isFull(running));
  }

  /** Gives out what the recording was too short for. */
  end(onCutOut: (cutOut: CutOut) => void): void {
    for (const running of this.#running) if (running.filled > 0) onCutOut(this.#cutOutOf(running));
    this.#running = [];
    this.#waiting.length = 0;
  }

  #frameAt(seconds: number): number {
    return Math.round(seconds * this.#options.sampleRateHz);
  }

  #begin(): void {
    const stretch = this.#waiting.shift();
    if (stretch === undefined) return;
    const { sampleRateHz, isBand = false } = this.#options;
    const first = this.#frameAt(stretch.startSeconds);
    const frames = Math.max(1, this.#frameAt(stretch.endSeconds) - first);
    const sound = isBand
      ? new BandSound(stretch, sampleRateHz, first)
      : new ChannelSound(stretch, sampleRateHz, frames);
    this.#running.push({ stretch, first, frames, sound, filled: 0 });
  }

  #fill(running: Running, block: AudioBlock): void {
    const { first, frames, sound } = running;
    const from = Math.max(0, first + running.filled - this.#frames);
    const to = Math.min(block.frames, first + frames - this.#frames);
    if (to <= from) return;
    sound.push(block, from, to);
    running.filled += to - from;
  }

  #cutOutOf({ stretch, first, sound, filled }: Running): CutOut {
    const { sampleRateHz, simulated } = this.#options;
    const { samples, sampleRateHz: soundRateHz } = sound.end();
    scaleToBits(samples);
    const comments = simulated ? [{ name: 'COMMENT', value: SIMULATED }] : [];
    return {
      ...stretch,
      startSeconds: first / sampleRateHz,
      endSeconds: (first + filled) / sampleRateHz,
      flac: encodeFlac(samples, { sampleRateHz: soundRateHz, comments }),
    };
  }
}

/** Brings what 16 bits would cut off or coarsen to their range by a power of two, which no decoder minds; leaves the rest as it is. */
function scaleToBits(samples: Float32Array): void {
  let peak = 0;
  for (let i = 0; i < samples.length; i++) peak = Math.max(peak, Math.abs(samples[i]));
  if (peak === 0 || !Number.isFinite(peak) || (peak >= QUIET_PEAK && peak <= 1)) return;
  const gain = 2 ** -Math.ceil(Math.log2(peak));
  for (let i = 0; i < samples.length; i++) samples[i] *= gain;
}
