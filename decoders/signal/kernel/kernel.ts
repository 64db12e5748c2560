import type { ToneSums } from '../envelopes.ts';
import { plainKernel } from './plain/plain-kernel.ts';
import { createSimdKernel } from './simd-kernel.ts';

/** A tone to correlate with, and where its sums go: one for each slot. */
export interface Tone {
  /** Frequency at the first sample. */
  readonly hz: number;
  readonly hzPerSecond: number;
  readonly sums: ToneSums;
}

/** Slots of time that follow each other without a gap. */
export interface Slots {
  /** Where the first one begins. */
  readonly at: number;
  /** Samples of each, at most 250; fractions count, each border is rounded. */
  readonly samples: number;
  readonly count: number;
  readonly sampleRateHz: number;
}

/** A symmetric low-pass of which one output in `factor` is made. */
export interface SymmetricFilter {
  readonly factor: 2 | 3;
  /** Index of the sample that the centre tap of the first output meets. */
  readonly middle: number;
  readonly centreTap: number;
  /** Taps on either side of the centre, a multiple of eight, the first one sample away and each `step` from the last. */
  readonly half: Float32Array;
  readonly step: 1 | 2;
}

/** Frames of as many samples as the window has, a power of four, each beginning half a frame after the last. */
export interface Frames {
  readonly window: Float32Array;
  readonly firstBin: number;
}

/** Frames that are analysed at once. */
export const FRAMES_AT_ONCE = 8;

/** The phase is a quadratic in time: phase + turn n + twist n^2 / 2 radians at sample n. */
export interface Oscillator {
  readonly phase: number;
  readonly turn: number;
  readonly twist: number;
}

/** Rows of cells on a ring: row b stands in place b mod `count`, with `margin` cells of filling before and behind. */
export interface CellRows {
  readonly cells: Float32Array;
  readonly count: number;
  readonly margin: number;
}

/**
 * The arithmetic that most of the search's time goes into: typed arrays in, typed arrays out, nothing kept. Two that
 * differ by rounding alone: one for every machine, and one for those that take four numbers at once.
 */
export interface Kernel {
  /**
   * Correlates samples with drifting tones, slot by slot. The phases of a tone's sums are those of one oscillator, so that
   * neighbouring sums may be added to longer ones.
   */
  correlateTones(samples: Float32Array, slots: Slots, tones: readonly Tone[]): void;
  /**
   * Power spectra of the `FRAMES_AT_ONCE` frames from `at` on, from bin `firstBin` on as many bins as each of `powers` holds,
   * a multiple of four.
   */
  framePowers(samples: Float32Array, at: number, frames: Frames, powers: readonly Float32Array[]): void;
  /** Makes `outputs` outputs of a filter. */
  filterDown(filter: SymmetricFilter, samples: Float32Array, outputs: number, output: Float32Array): void;
  /**
   * Multiplies real samples with an oscillator and filters the product, of which one sample in `decimation` is made: as many
   * as `re` and `im` hold. Silence stands before and behind the samples.
   *
   * @param taps odd in number and symmetric; the centre tap of output n meets sample n decimation.
   */
  mixDown(
    samples: Float32Array,
    oscillator: Oscillator,
    taps: Float64Array,
    decimation: number,
    re: Float64Array,
    im: Float64Array,
  ): void;
  /**
   * Means over rows `first`.. along sheared paths: `means[i][k]` is that of the cells k + shears[i][j] of the j-th row. No
   * shear reaches beyond the margin.
   */
  boxMeans(rows: CellRows, first: number, shears: readonly Int32Array[], means: readonly Float32Array[]): void;
}

let usual: Kernel | undefined;

/** The fastest kernel that runs here. */
export function usualKernel(): Kernel {
  usual ??= createSimdKernel() ?? plainKernel;
  return usual;
}
