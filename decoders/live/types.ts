import type { DecodeOptions, FrameWithReadings } from '../decode.ts';
import type { Burst } from '../teletype/types.ts';

export interface LiveOptions extends DecodeOptions {
  /** 8000 to 192000. */
  readonly sampleRateHz: number;
}

/** How loud the input was in the tenth of a second that ends here; 1 is the most that samples can hold. */
export interface LiveLevel {
  readonly type: 'level';
  readonly endSeconds: number;
  readonly rms: number;
  readonly peak: number;
}

/** Keying is being received. Its characters follow, each under the number of this reception. */
export interface LiveAcquired {
  readonly type: 'acquired';
  readonly reception: number;
  readonly startSeconds: number;
  readonly baud: number;
  readonly markHz: number;
  readonly spaceHz: number;
}

/** One character as soon as its last element has been heard; a guess until the burst itself has been read. */
export interface LiveCharacter {
  readonly type: 'character';
  readonly provisional: true;
  readonly reception: number;
  /** Counts the characters of the reception from 0. */
  readonly slot: number;
  readonly startSeconds: number;
  /** Where its stop element, taken as one element, ends. */
  readonly endSeconds: number;
  /** Likeliest of the 32 codes, the element sent first in the lowest bit. */
  readonly code: number;
  /** What the code prints in the case that is in force; empty for shifts and blanks. */
  readonly text: string;
  /** Posterior probability of `text`, or of the code where nothing is printed. */
  readonly confidence: number;
  /** Log-likelihood ratios of the seven elements, positive = mark. */
  readonly elementLlr: readonly number[];
}

/** Frames read from the characters so far, soon after the sender paused; a guess like these. */
export interface LiveFrames {
  readonly type: 'frames';
  readonly provisional: true;
  readonly reception: number;
  readonly frames: readonly FrameWithReadings[];
}

/** Nothing more comes under this number. */
export interface LiveReleased {
  readonly type: 'released';
  readonly reception: number;
  readonly endSeconds: number;
}

/** A burst as a recording of the same samples gives it. It replaces what the receptions guessed of its time. */
export interface LiveBurst {
  readonly type: 'burst';
  readonly burst: Burst;
  readonly frames: readonly FrameWithReadings[];
  readonly receptions: readonly number[];
}

export type LiveEvent = LiveLevel | LiveAcquired | LiveCharacter | LiveFrames | LiveReleased | LiveBurst;

/**
 * Samples of one channel in, as they come, in blocks of any size; what is heard out. The same samples in other blocks give the
 * same events in the same order.
 */
export interface LiveDecoder {
  push(samples: Float32Array, onEvent: (event: LiveEvent) => void): void;
  /** Says that no more samples come, and gives out what was still open. */
  end(onEvent: (event: LiveEvent) => void): void;
  /** Seconds of samples taken so far. */
  readonly seconds: number;
}
