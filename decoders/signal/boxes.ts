import { BLOCK_SAMPLES } from './blocks.ts';
import { WORKING_RATE_HZ } from './decimate.ts';
import { BIN_HZ, BINS } from './spectrogram.ts';

export const BLOCK_SECONDS = BLOCK_SAMPLES / WORKING_RATE_HZ;

/** Bins by which a tone of this drift lies off its place at the window's middle, for each block of the window. */
export function shearOf(blocks: number, driftHzPerSecond: number): Int32Array {
  return Int32Array.from({ length: blocks }, (_, j) =>
    Math.round((driftHzPerSecond * (j - (blocks - 1) / 2) * BLOCK_SECONDS) / BIN_HZ),
  );
}

/** Running mean over an odd number of bins, in place, `scratch` as long as `values`; narrower at the ends. */
export function smooth(values: Float32Array, width: number, scratch: Float32Array): void {
  if (width === 1) return;
  scratch.set(values);
  const reach = (width - 1) / 2;
  for (let k = 0; k < BINS; k++) {
    const low = Math.max(0, k - reach);
    const high = Math.min(BINS - 1, k + reach);
    let sum = 0;
    for (let i = low; i <= high; i++) sum += scratch[i];
    values[k] = sum / (high - low + 1);
  }
}
