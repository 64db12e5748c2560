import type { AudioBlock } from './types.ts';

/** Residual over a copy's own power: a float copy at another level stays far below, other reception far above. */
const COPY_RESIDUAL = 1e-7;
/** Power a sample of what rounding to 16 bits leaves between two copies, with some room. */
const ROUNDING_POWER = 1 / 3 / 32768 ** 2;

const SILENT = -1;

/**
 * Which channels of a recording are worth decoding.
 *
 * A look at the levels cannot choose the better of two channels: the louder one may be the hum, the peakier one the
 * voice, and a squelch may open later. What chooses safely is the decoder: run it on each channel that is `distinct`, and
 * keep the channel with the better bursts. Most stereo recordings cost nothing by that, as their channels are one signal
 * twice, or one of them is empty; this class finds that out, block by block, in memory that does not grow.
 *
 * A channel counts as a copy as long as in every block it is another one times some factor (negative too). Once it is
 * different it stays so. Up to then both were the same, so that a decoder for it may start at that block without having
 * missed anything that the other one's decoder has not heard.
 */
export class DistinctChannels {
  /** The channel that each is a copy of, itself, or SILENT. */
  readonly #original: Int32Array;
  readonly #distinct: number[] = [];

  constructor(channels: number) {
    this.#original = new Int32Array(channels).fill(SILENT);
  }

  /** Channels to decode, so far, in the order in which they showed to be different. */
  get distinct(): readonly number[] {
    return this.#distinct;
  }

  /** What channel `channel` is so far. */
  kind(channel: number): 'silent' | 'distinct' | { readonly copyOf: number } {
    const original = this.#original[channel];
    return original === SILENT ? 'silent' : original === channel ? 'distinct' : { copyOf: original };
  }

  /** Looks at the next block. Returns the channels that became distinct with it: start their decoders with this block. */
  add(block: AudioBlock): readonly number[] {
    const parted: { readonly channel: number; readonly from: number }[] = [];
    for (let c = 0; c < block.channels.length; c++) {
      const original = this.#original[c];
      const stays =
        original === SILENT
          ? isSilent(block.channels[c], block.frames)
          : original === c || isCopy(block.channels[original], block.channels[c], block.frames);
      if (stays) continue;
      // Only a channel that parted from the same one in this same block has the same past.
      const twin = parted.find(
        ({ channel, from }) => from === original && isCopy(block.channels[channel], block.channels[c], block.frames),
      );
      this.#original[c] = twin?.channel ?? c;
      if (twin === undefined) parted.push({ channel: c, from: original });
    }
    const found = parted.map(({ channel }) => channel);
    this.#distinct.push(...found);
    return found;
  }
}

function isSilent(samples: Float32Array, frames: number): boolean {
  for (let i = 0; i < frames; i++) if (samples[i] !== samples[0]) return false;
  return true;
}

/** Whether `y` is `x` times a factor, chosen by least squares; a steady offset of either does not count. */
function isCopy(x: Float32Array, y: Float32Array, frames: number): boolean {
  const xMean = mean(x, frames);
  const yMean = mean(y, frames);
  let xx = 0;
  let yy = 0;
  let xy = 0;
  for (let i = 0; i < frames; i++) {
    const a = x[i] - xMean;
    const b = y[i] - yMean;
    xx += a * a;
    yy += b * b;
    xy += a * b;
  }
  const residual = xx > 0 ? yy - (xy * xy) / xx : yy;
  return residual <= COPY_RESIDUAL * yy + ROUNDING_POWER * frames;
}

function mean(samples: Float32Array, frames: number): number {
  let sum = 0;
  for (let i = 0; i < frames; i++) sum += samples[i];
  return sum / frames;
}
