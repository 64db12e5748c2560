import { BINS } from './spectrogram.ts';

/** No cell counts more than this: a strong foreign sound may spoil a cell, never a whole average. */
export const CELL_LIMIT = 4;
/** What a cell of plain noise averages, whatever its level; also what stands for cells that are not there. */
export const NOISE_CELL = 0.98;
/**
 * Added to cell and neighbourhood alike, so that digital silence is as plain as noise: about -130 dB below full scale,
 * under the rounding of 16-bit samples.
 */
const POWER_FLOOR = 1e-9;

/** Sums of one row, so that the mean about each bin costs two look-ups. */
export interface Neighbourhood {
  /** Bins on either side that count. */
  readonly reach: number;
  readonly prefix: Float64Array;
  /** One over the number of bins that count about each bin. */
  readonly share: Float64Array;
}

export function createNeighbourhood(reach: number): Neighbourhood {
  const neighbourhood = { reach, prefix: new Float64Array(BINS + 1), share: new Float64Array(BINS) };
  leaveOut(neighbourhood, new Uint8Array(BINS));
  return neighbourhood;
}

/** Sets which bins are left out of the means, because a persistent line would darken all about it. */
export function leaveOut({ reach, share }: Neighbourhood, lines: Uint8Array): void {
  for (let k = 0; k < BINS; k++) {
    let count = 0;
    for (let i = Math.max(0, k - reach); i <= Math.min(BINS - 1, k + reach); i++) count += 1 - lines[i];
    share[k] = 1 / Math.max(1, count);
  }
}

/**
 * Adds min(limit, power / mean power of the neighbourhood) of every bin to `sums`: level-free and bounded, so that
 * thresholds are constants.
 */
export function addWhitened(
  power: Float32Array,
  lines: Uint8Array,
  neighbourhood: Neighbourhood,
  sums: Float32Array,
): void {
  whiten(power, lines, neighbourhood.reach, neighbourhood.prefix, neighbourhood.share, sums);
}

function whiten(
  power: Float32Array,
  lines: Uint8Array,
  reach: number,
  prefix: Float64Array,
  share: Float64Array,
  sums: Float32Array,
): void {
  let total = 0;
  for (let k = 0; k < BINS; k++) {
    if (lines[k] === 0) total += power[k];
    prefix[k + 1] = total;
  }
  for (let k = 0; k < BINS; k++) {
    const low = k < reach ? 0 : k - reach;
    const high = k + reach >= BINS ? BINS : k + reach + 1;
    const cell = (power[k] + POWER_FLOOR) / ((prefix[high] - prefix[low]) * share[k] + POWER_FLOOR);
    sums[k] += Math.min(cell, CELL_LIMIT);
  }
}
