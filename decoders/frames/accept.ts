/*
 * The accept rule and its priors in one place. Each prior stands for a way to be wrong that the signal alone cannot
 * rule out.
 */

/** What a mission may set otherwise, within the bounds of `ACCEPT_BOUNDS`. */
export interface AcceptRule {
  /** A frame is confirmed when the probability of being wrong is below this. */
  readonly wrongBelow: number;
  /** Mean nats a character by which a free reading may beat a frame: own frames stay below 1, foreign text lies above 6. */
  readonly foreignBelow: number;
}

export const DEFAULT_ACCEPT: AcceptRule = { wrongBelow: 1e-4, foreignBelow: 2 };
/** Looser than this no mission can be: with a CRC-16, 3e-4 is the most that was ever shown to hold. */
export const ACCEPT_BOUNDS = { wrongBelow: [1e-12, 3e-4], foreignBelow: [1, 3] } as const;

/** A frame or field without a checksum to hold is probable from here on. */
export const PROBABLE_POSTERIOR = 0.999;
/** Prior that a frame was sent with a checksum that does not fit it (a fault of the sender, another polynomial). */
export const WRONG_CHECKSUM_SENT = 1e-2;
/** Prior that a sender close by in name (one letter of a literal word differs) is heard instead. */
export const SISTER_SENDER = 1e-3;
/** The same where no checksum holds the name: with nothing else to give a sister away, the letters must speak against her. */
export const SISTER_UNCHECKED = 0.1;
/** Prior that a frame whose beginning was lost lost its end as well. */
export const END_LOST_TOO = 0.1;
/** Log-odds against text without layout below which a frame is not worth telling. */
export const LEAST_EVIDENCE = 12;
/** No field of a frame whose checksum contradicts it is surer than this. */
export const CONTRADICTED_CONFIDENCE = 0.99;
/** Nats by which no slot may speak against a reading, over those that its checksum is worth. */
export const CLEARLY_AGAINST = 10;
/** No field is surer than this in a piece of a frame in which nothing holds it in its place. */
export const LOOSE_CONFIDENCE = 0.99;
/** Prior that a copy dated as if of one transmission is of another: a clock or a date is wrong by about the beacon's interval. */
export const OTHER_TRANSMISSION = 1e-3;
/** Prior that a repetition within one burst is of the next text already. */
export const OTHER_REPETITION = 0.05;
