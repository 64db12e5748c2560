import type { Trust } from '../frames/types.ts';

export type LimitState = 'normal' | 'soft' | 'hard' | null;

export interface Reading {
  readonly parameter: string;
  /** Null when the frame says "no value" or the calibration has none here; strings for states and texts. */
  readonly value: number | string | null;
  readonly unit: string | null;
  readonly trust: Trust;
  readonly confidence: number;
  /** State of this one value against the limits in force; persistence is the server's. Null without limits. */
  readonly limit: LimitState;
  /** What had to be assumed, for instance that a condition was unknown and the widest limits applied. */
  readonly notes: readonly string[];
}
