import type { BurstCarrier } from '../../decoders/signal/types.ts';
import type { Failure } from '../store/records.ts';

/** Sound is given out as mono at this rate: all that beacons are looked for in lies below half of it. */
export const SOUND_RATE_HZ = 8000;

/** A stretch of a recording, in seconds from its start. */
export interface Stretch {
  readonly startSeconds: number;
  readonly endSeconds: number;
}

/** Plain data: it is sent to a thread. */
export interface CutTask {
  readonly path: string;
  /** Where a copy is kept of recordings whose container cannot be read from the middle. */
  readonly copyPath: string;
  /** Bytes that the disk has left for such a copy. */
  readonly copyBytesMax: number;
  readonly channel: number;
  /** Given for a burst in a complex band: its whole stretch is demodulated. */
  readonly carrier: BurstCarrier | null;
  readonly stretch: Stretch;
  /** Parts of the stretch in whose place silence is given. */
  readonly silences: readonly Stretch[];
  /** Null for the whole stretch. Else so many pieces of `PIECE_SECONDS`, from the middles of equal parts, end to end. */
  readonly pieces: number | null;
}

/** Length of each piece where a long stretch is only sampled: what one column of a spectrogram is made of. */
export const PIECE_SECONDS = 0.064;

/** A recording that cannot be read is a result, not an exception. */
export type CutOutcome =
  | { readonly readable: true; readonly wav: Uint8Array; readonly copied: boolean }
  | { readonly readable: false; readonly failure: Failure };

/** Cuts sound out of recordings somewhere: in a thread, or in tests right here. */
export interface SoundCutter {
  cut(task: CutTask): Promise<CutOutcome>;
  close(): Promise<void>;
}
