import type { StopElements } from '../../mission/types.ts';

/** Elements of a start-stop character: start, five data, stop (whole elements of it). */
export const PATTERN_ELEMENTS = 7;

/**
 * What a sender is expected to key, from the first character of a transmission on: for each element the probability of
 * mark less that of space, +1 where it must be mark, -1 where it must be space, 0 where nothing is known.
 */
export interface ElementPattern {
  readonly characters: number;
  /** `PATTERN_ELEMENTS` a character. */
  readonly expected: Float64Array;
}

/** A beacon whose keying and tones are known, as a search looks for it. */
export interface KnownBeacon {
  readonly baud: number;
  readonly stopElements: StopElements;
  readonly markHz: number;
  readonly spaceHz: number;
  /** What its transmissions may be. */
  readonly patterns: readonly ElementPattern[];
}
