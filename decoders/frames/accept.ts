/*
 * The accept rule and its priors in one place. Each prior stands for a way to be wrong that the signal alone cannot
 * rule out.
 */

/** A frame is confirmed when the probability of being wrong is below this. */
export const CONFIRMED_ERROR = 1e-4;
/** A frame or field without a checksum to hold is probable from here on. */
export const PROBABLE_POSTERIOR = 0.999;
/** Prior that a frame was sent with a checksum that does not fit it (a fault of the sender, another polynomial). */
export const WRONG_CHECKSUM_SENT = 1e-2;
/** Prior that a sender close by in name (one letter of a literal word differs) is heard instead. */
export const SISTER_SENDER = 1e-3;
/** Mean nats a character by which a free reading may beat a frame: own frames stay below 1, foreign text lies above 6. */
export const FOREIGN_NATS = 2;
/** Log-odds against text without layout below which a frame is not worth telling. */
export const LEAST_EVIDENCE = 12;
/** No field of a frame whose checksum contradicts it is surer than this. */
export const CONTRADICTED_CONFIDENCE = 0.99;
/** Prior that a copy dated as if of one transmission is of another: a clock or a date is wrong by about the beacon's interval. */
export const OTHER_TRANSMISSION = 1e-3;
/** Prior that a repetition within one burst is of the next text already. */
export const OTHER_REPETITION = 0.05;
