/**
 * Longest recording that is decoded, in seconds of sound: a few kilobytes of a compressed file can state days. What
 * follows is left out and said so.
 */
export const LONGEST_SECONDS = 24 * 3600;
