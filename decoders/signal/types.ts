import type { StopElements } from '../mission/types.ts';

/** Narrows the blind search; whatever is left out is searched. */
export interface SearchHint {
  readonly bauds?: readonly number[];
  readonly shiftHz?: number;
  readonly markHz?: number;
  readonly spaceHz?: number;
  readonly stopElements?: StopElements;
}

/** What the search hands to the demodulator: a keyed stretch and first guesses of its parameters. */
export interface Acquisition {
  /** Best window of the stretch, which is not the burst: demodulate half a window beyond each end. */
  readonly startSeconds: number;
  readonly endSeconds: number;
  readonly baud: number;
  readonly stopElements: StopElements;
  /** Tones at the middle of the window. Polarity is settled: mark is the tone of rest. */
  readonly markHz: number;
  readonly spaceHz: number;
  readonly driftHzPerSecond: number;
  /** Start of some character's start element. */
  readonly characterPhaseSeconds: number;
  readonly characterPeriodSeconds: number;
  /** Strength of the start-stop structure, in standard deviations of noise. */
  readonly score: number;
  /**
   * Given when the stretch was found by what it must say: so many characters are known to follow each other from
   * `characterPhaseSeconds` on, and speed and tones are those of the sender.
   */
  readonly knownCharacters?: number;
  /** Given with `knownCharacters` where that alone is no proof: there is a burst only if its phase bears it out. */
  readonly isFaint?: true;
}

/**
 * Finds keyed bursts in a stream of mono samples, whatever the block size: the same stream in other blocks gives the
 * same acquisitions. Memory is bounded.
 */
export interface Acquirer {
  /** Feeds samples at the rate the acquirer was made for; reports every stretch as soon as it is settled. */
  push(samples: Float32Array, onFound: (found: Acquisition) => void): void;
  end(onFound: (found: Acquisition) => void): void;
  /** Stretches that begin before this have been reported. */
  readonly settledSeconds: number;
}

/** Where the carrier of a burst stood in a recorded band. */
export interface BurstCarrier {
  /** `fsk`: the keyed carrier itself, in the middle of its two tones; `fm`: the carrier that two tones modulate. */
  readonly modulation: 'fsk' | 'fm';
  /** Time for which the figures hold: the middle of the burst, seconds from the start of the recording. */
  readonly seconds: number;
  /** From the middle of the band. */
  readonly carrierHz: number;
  /** On the air; null where the recording does not say what its middle is. */
  readonly absoluteHz: number | null;
  readonly driftHzPerSecond: number;
  /** Standard deviation of `carrierHz` by noise alone: what the receiver's reference is off by is not in it. */
  readonly uncertaintyHz: number;
  /** The carrier in the course of the burst, about one point a second. */
  readonly track: readonly CarrierPoint[];
  /** Given where this is the word of whoever cut the burst out of the band: the sound alone does not bear it out. */
  readonly saidBy?: 'sender';
}

export interface CarrierPoint {
  readonly seconds: number;
  /** From the middle of the band. */
  readonly carrierHz: number;
  readonly uncertaintyHz: number;
}
