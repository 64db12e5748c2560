import { BLOCK_SAMPLES, BLOCKS_KEPT } from './blocks.ts';
import { WORKING_RATE_HZ } from './decimate.ts';
import { BIN_HZ, BINS } from './spectrogram.ts';
import { NOISE_CELL } from './whitening.ts';

export const BLOCK_SECONDS = BLOCK_SAMPLES / WORKING_RATE_HZ;

/** Bins by which a tone of this drift lies off its place at the window's middle, for each block of the window. */
export function shearOf(blocks: number, driftHzPerSecond: number): Int32Array {
  return Int32Array.from({ length: blocks }, (_, j) =>
    Math.round((driftHzPerSecond * (j - (blocks - 1) / 2) * BLOCK_SECONDS) / BIN_HZ),
  );
}

/** Averages blocks `first`.. of a ring along a sheared path: `mean[k]` follows the tone that is in bin k midway. */
export function boxMean(cells: Float32Array, first: number, shear: Int32Array, mean: Float32Array): void {
  mean.fill(0);
  const blocks = shear.length;
  for (let j = 0; j < blocks; j++) {
    const row = ((((first + j) % BLOCKS_KEPT) + BLOCKS_KEPT) % BLOCKS_KEPT) * BINS;
    addShifted(cells, row, shear[j], mean);
  }
  for (let k = 0; k < BINS; k++) mean[k] /= blocks;
}

function addShifted(cells: Float32Array, row: number, shift: number, sums: Float32Array): void {
  const from = Math.max(0, -shift);
  const to = Math.min(BINS, BINS - shift);
  for (let k = 0; k < from; k++) sums[k] += NOISE_CELL;
  for (let k = from; k < to; k++) sums[k] += cells[row + k + shift];
  for (let k = Math.max(from, to); k < BINS; k++) sums[k] += NOISE_CELL;
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
