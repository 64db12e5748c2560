import type { StopElements } from '../mission/types.ts';
import type { BurstCarrier } from '../signal/types.ts';

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
  /** Stretches through which the sender's phase was found to hold. */
  readonly coherent?: readonly CoherentElements[];
}

/**
 * Both tones with their phases in every element of a stretch through which the sender's phase holds: what several receptions of
 * one transmission must bring along for its phase to count in all of them together.
 *
 * The numbers are scaled so that exp of a real part is a likelihood: over noise alone, a tone at phase psi has the likelihood
 * exp(Re(sum e^(-j psi)) + bias).
 */
export interface CoherentElements {
  /** Start of the first slot, seconds from the start of the recording. */
  readonly startSeconds: number;
  readonly characterSeconds: number;
  readonly slots: number;
  /** `slots * 7 * 4`: mark and space, real and imaginary, space against the mark tone at the start of its element. */
  readonly sums: Float32Array;
  /** Of an element of either tone; of the stop element `stopElements` times as much. */
  readonly markBias: number;
  readonly spaceBias: number;
  readonly stopElements: number;
  /** What a space does to the phase. */
  readonly turnsPerSpace: number;
  /** Chance that the phase is lost from one character to the next, and the variance that it gains (rad^2). */
  readonly slip: number;
  readonly diffusion: number;
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
  /**
   * Given for bursts from a complex band. Of a keyed carrier `markHz`, `spaceHz` and `driftHzPerSecond` are then counted in that
   * band, from its middle; of tones on an FM carrier they are those of the audio, as of any other burst.
   */
  readonly carrier?: BurstCarrier;
}

export interface PrintedCharacter {
  readonly text: string;
  /** Slot of `soft` it came from. */
  readonly slot: number;
  /** Posterior probability that this character was sent. */
  readonly confidence: number;
}
