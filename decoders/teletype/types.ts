import type { StopElements } from '../mission/types.ts';

/**
 * A burst as soft characters: the log-likelihood ratio ln p(y|mark)/p(y|space) of every element of every character
 * slot. Enough to decide again later (new definition, another station's copy) without the audio.
 */
export interface SoftCharacters {
  readonly count: number;
  /** Start of each slot's start element, seconds from the start of the recording. */
  readonly startSeconds: Float64Array;
  /** `count * 7` as measured, not bounded: start, five data elements in sending order, stop. Positive = mark. */
  readonly elementLlr: Float32Array;
}

/** What was measured of a burst. */
export interface Burst {
  readonly startSeconds: number;
  readonly endSeconds: number;
  readonly baud: number;
  readonly markHz: number;
  readonly spaceHz: number;
  /** True when mark is the higher tone. */
  readonly reversed: boolean;
  readonly stopElements: StopElements;
  readonly driftHzPerSecond: number;
  /** Energy of one element over the one-sided noise density. */
  readonly ebN0Db: number;
  readonly soft: SoftCharacters;
  /** Free reading, without a layout; doubtful characters are `DOUBTFUL_MARK`. */
  readonly text: string;
  /** The text if spaces return to letters (or not), where nothing in the signal decides and it differs; else null. */
  readonly alternativeText: string | null;
  /** One entry a printed character of `text`. */
  readonly characters: readonly PrintedCharacter[];
}

export interface PrintedCharacter {
  readonly text: string;
  /** Slot of `soft` it came from. */
  readonly slot: number;
  /** Posterior probability that this character was sent. */
  readonly confidence: number;
}
