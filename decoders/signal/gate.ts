import { BLOCKS_KEPT } from './blocks.ts';
import type { Pair } from './peaks.ts';
import { BINS } from './spectrogram.ts';
import { NOISE_CELL } from './whitening.ts';

/** Mean of both tones' cells above which a block is thought to hold the pair. */
const PRESENT_LEVEL = 1.04;

/**
 * Share of the window's blocks in which both tones together stand above the noise. A burst keeps its two lines up in
 * every block; speech and music do not.
 */
export function presentShare(
  cells: Float32Array,
  first: number,
  shear: Int32Array,
  smoothing: number,
  pair: Pair,
): number {
  const low = Math.round(pair.low.bin);
  const high = Math.round(pair.high.bin);
  let present = 0;
  for (let j = 0; j < shear.length; j++) {
    const row = ((((first + j) % BLOCKS_KEPT) + BLOCKS_KEPT) % BLOCKS_KEPT) * BINS;
    const level =
      lobe(cells, row, low + shear[j], (smoothing - 1) / 2) + lobe(cells, row, high + shear[j], (smoothing - 1) / 2);
    if (level / 2 > PRESENT_LEVEL) present++;
  }
  return present / shear.length;
}

function lobe(cells: Float32Array, row: number, bin: number, reach: number): number {
  let sum = 0;
  for (let k = bin - reach; k <= bin + reach; k++) sum += k >= 0 && k < BINS ? cells[row + k] : NOISE_CELL;
  return sum / (2 * reach + 1);
}
