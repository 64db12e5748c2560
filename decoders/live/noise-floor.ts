import { type BurstLevel, bounded } from '../signal/burst-level.ts';
import type { TunedWindow } from './tuned-window.ts';

/** Elements measured each time, at the window's end. */
const ELEMENTS = 4;
/** So many measurements count: 10 s at ten a second. */
const KEPT = 100;
/** Fewer say nothing. */
const FEWEST = 10;
/** Median over mean of the power of noise in as many elements, a gamma distribution of that shape. */
const MEDIAN_OF_MEAN = 0.918;

/**
 * How much noise stands on a pair of tones while nobody sends there. A few elements that look like a signal say too little of
 * the noise they stand in: they were looked for because they happen to hold little.
 */
export class NoiseFloor {
  private readonly mark = new Float64Array(KEPT);
  private readonly space = new Float64Array(KEPT);
  private taken = 0;

  /** Measures the end of a window; windows follow each other at a regular distance. */
  take({ elements, endSeconds }: TunedWindow): void {
    const at = this.taken++ % KEPT;
    this.mark[at] = 0;
    this.space[at] = 0;
    for (let i = 1; i <= ELEMENTS; i++) {
      const [mark, space] = elements.magnitudesAt(endSeconds - i * elements.elementSeconds);
      this.mark[at] += (mark * mark) / ELEMENTS;
      this.space[at] += (space * space) / ELEMENTS;
    }
  }

  /** Mean |z|^2 of noise alone over one element; of the quieter tone, for a carrier may stand on one. 0 when not yet known. */
  get power(): number {
    if (this.taken < FEWEST) return 0;
    return Math.min(this.medianOf(this.mark), this.medianOf(this.space)) / MEDIAN_OF_MEAN;
  }

  private medianOf(powers: Float64Array): number {
    const sorted = powers.slice(0, Math.min(this.taken, KEPT)).sort();
    return sorted[sorted.length >> 1];
  }
}

/** The level of a few elements, had they stood in the noise before them: what they hold in all stays. */
export function aboveFloor(level: BurstLevel, floor: number): BurstLevel {
  const { markLevel, spaceLevel, noisePower } = level;
  if (noisePower >= floor) return level;
  const above = (tone: number) => Math.sqrt(Math.max(0, tone * tone + noisePower - floor));
  return bounded(above(markLevel), above(spaceLevel), floor);
}
