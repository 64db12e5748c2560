/** Sound comes at this rate, mono: all that beacons are looked for in lies below half of it. */
export const SOUND_RATE_HZ = 8000;

/** Samples of a piece where a long stretch is only sampled. */
export const PIECE_SAMPLES = 512;
