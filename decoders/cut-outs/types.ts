import type { Burst } from '../teletype/types.ts';

/** A stretch of one channel that holds bursts, in seconds of the recording. */
export interface BurstStretch {
  /** Its number; 0 of a complex band, of which a stretch holds one burst. */
  readonly channel: number;
  readonly startSeconds: number;
  readonly endSeconds: number;
  /** In order; at least one. */
  readonly bursts: readonly Burst[];
}

/** A stretch as a file of its own. */
export interface CutOut extends BurstStretch {
  /** A whole FLAC file, one channel of 16 bits, of a complex band made heard, from `startSeconds` to `endSeconds`. The same recording gives the same bytes. */
  readonly flac: Uint8Array;
}
