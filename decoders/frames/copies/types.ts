import type { DecodedFrame } from '../types.ts';

/** `same-noise`: another recording of what a clearer copy holds. `too-weak`: nothing tells whether it belongs. */
export type Belonging = 'belongs' | 'same-noise' | 'other-transmission' | 'too-weak';

/** What became of a copy. */
export interface CombinedCopy {
  readonly belonging: Belonging;
  /** Slot of the copy under each character of the frame, -1 where it has none; empty for a copy without a place. */
  readonly slots: readonly number[];
}

/** A frame as one copy alone gave it. */
export interface AloneReading {
  /** Id of the mission. */
  readonly mission: string;
  readonly frame: DecodedFrame;
}

/** One of several times that a burst repeats a frame. */
export interface Repetition extends CombinedCopy {
  /** What was read in it alone; null where nothing was. */
  readonly alone: DecodedFrame | null;
}
