import { placeOfRow } from './blocks.ts';
import type { Pair } from './peaks.ts';

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
  const reach = (smoothing - 1) / 2;
  let present = 0;
  for (let j = 0; j < shear.length; j++) {
    const row = placeOfRow(first + j) + shear[j];
    if ((lobe(cells, row + low, reach) + lobe(cells, row + high, reach)) / 2 > PRESENT_LEVEL) present++;
  }
  return present / shear.length;
}

function lobe(cells: Float32Array, at: number, reach: number): number {
  let sum = 0;
  for (let k = at - reach; k <= at + reach; k++) sum += cells[k];
  return sum / (2 * reach + 1);
}
