/** A decoder that is so far behind will not catch up by itself. */
const MOST_BEHIND_MS = 30_000;
/** It has caught up when what comes is no older than this. */
const CAUGHT_UP_MS = 500;

/**
 * Samples wait for a decoder that is slower than they come, on an old phone or in a page that the system holds back: what waits
 * would grow for hours. From a limit on it is let go until the decoder is with the present again, which shows as a gap.
 */
export class KeepUp {
  #isBehind = false;

  /** @param atMs when the samples had come */
  mustDrop(atMs: number, nowMs: number): boolean {
    const behindMs = nowMs - atMs;
    this.#isBehind = behindMs > (this.#isBehind ? CAUGHT_UP_MS : MOST_BEHIND_MS);
    return this.#isBehind;
  }
}
