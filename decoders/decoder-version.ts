/** Counts up when decoding the same recording may give something else. */
export const DECODER_VERSION = 8;
