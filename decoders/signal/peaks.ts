import { BIN_HZ, BINS } from './spectrogram.ts';

/** A maximum of a box mean; the place is a bin with its fraction. */
export interface Peak {
  readonly bin: number;
  readonly level: number;
}

/** Two peaks that may be the tones of one burst. */
export interface Pair {
  readonly low: Peak;
  readonly high: Peak;
  /** Which of the class's drifts they were seen under. */
  readonly drift: number;
  readonly rank: number;
}

/** Shifts that are looked for, with some room for peaks that lean on each other. */
const LEAST_SHIFT_HZ = 70;
const GREATEST_SHIFT_HZ = 920;
/** And at least so much of the speed. */
const LEAST_INDEX = 0.6;
const MOST_PEAKS = 10;
const MOST_PAIRS = 20;
const MOST_LOBES = 5;
/** Where the tones of a single lobe are looked for: so many speeds apart, but no less than the least usual shift. */
const HIDDEN_INDEX = 1.1;
const LEAST_HIDDEN_HZ = 82;
/** Pairs nearer than this (bins, both tones) are one pair seen twice. */
const SAME_BINS = 1.2;

/** The strongest local maxima above `level` that are no persistent lines, strongest first. */
export function findPeaks(mean: Float32Array, lines: Uint8Array, level: number): Peak[] {
  const peaks: Peak[] = [];
  for (let k = 1; k < BINS - 1; k++) {
    const middle = mean[k];
    if (middle < level || middle < mean[k - 1] || middle <= mean[k + 1] || lines[k] === 1) continue;
    const curve = mean[k - 1] - 2 * middle + mean[k + 1];
    const lean = curve < 0 ? (mean[k - 1] - mean[k + 1]) / (2 * curve) : 0;
    peaks.push({ bin: k + lean, level: middle });
  }
  peaks.sort((a, b) => b.level - a.level);
  peaks.length = Math.min(peaks.length, MOST_PEAKS);
  return peaks;
}

/** Puts every plausible pair of these peaks into `pairs`, which stays short, free of doubles and best first. */
export function collectPairs(peaks: readonly Peak[], drift: number, baud: number, pairs: Pair[]): void {
  const leastBins = Math.max(LEAST_SHIFT_HZ, LEAST_INDEX * baud) / BIN_HZ;
  const mostBins = GREATEST_SHIFT_HZ / BIN_HZ;
  // Peaks come strongest first: `b` is never above `a`.
  for (let i = 0; i < peaks.length; i++) {
    const a = peaks[i];
    for (let j = i + 1; j < peaks.length; j++) {
      const b = peaks[j];
      const rank = b.level + a.level / 2;
      if (!hasRoom(pairs, MOST_PAIRS, rank)) break;
      const apart = Math.abs(a.bin - b.bin);
      if (apart < leastBins || apart > mostBins) continue;
      insert(a.bin < b.bin ? { low: a, high: b, drift, rank } : { low: b, high: a, drift, rank }, pairs, MOST_PAIRS);
    }
  }
}

/** Single lobes that may hide two tones less than the resolution apart. */
export function collectLobes(peaks: readonly Peak[], drift: number, baud: number, pairs: Pair[]): void {
  const half = Math.max(HIDDEN_INDEX * baud, LEAST_HIDDEN_HZ) / 2 / BIN_HZ;
  for (const { bin, level } of peaks) {
    if (!hasRoom(pairs, MOST_LOBES, level)) break;
    if (bin < half || bin + half > BINS - 1) continue;
    const [low, high] = [bin - half, bin + half];
    insert({ low: { bin: low, level }, high: { bin: high, level }, drift, rank: level }, pairs, MOST_LOBES);
  }
}

/** Whether a pair of this rank would stay: nearly all do not, and need not be made. */
function hasRoom(pairs: readonly Pair[], most: number, rank: number): boolean {
  return pairs.length < most || rank > pairs[most - 1].rank;
}

function insert(pair: Pair, pairs: Pair[], most: number): void {
  const twin = twinOf(pair, pairs);
  if (twin >= 0) {
    if (pairs[twin].rank >= pair.rank) return;
    pairs.splice(twin, 1);
  }
  let place = pairs.length;
  while (place > 0 && pairs[place - 1].rank < pair.rank) place--;
  pairs.splice(place, 0, pair);
  if (pairs.length > most) pairs.pop();
}

function twinOf({ low, high }: Pair, pairs: readonly Pair[]): number {
  for (let i = 0; i < pairs.length; i++) {
    const other = pairs[i];
    if (Math.abs(other.low.bin - low.bin) < SAME_BINS && Math.abs(other.high.bin - high.bin) < SAME_BINS) return i;
  }
  return -1;
}
