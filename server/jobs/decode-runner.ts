import type { DeclaredBand, DecodeSummary, FrameWithReadings } from '../../decoders/decode.ts';
import type { Mission } from '../../decoders/mission/types.ts';
import type { Burst } from '../../decoders/teletype/types.ts';
import type { Failure } from '../store/records.ts';
import type { TaskRunner } from './task-runner.ts';

/** Plain data: it is sent to a thread. */
export interface DecodeTask {
  readonly path: string;
  readonly missions: readonly Mission[];
  /** ISO 8601 UTC, as the sender said; null to go by the file. */
  readonly startedAt: string | null;
  /** Given where the sender says that two channels are I and Q. */
  readonly iq: DeclaredBand | null;
}

export interface DecodeProgress {
  /** Share of the bytes that is read, 0..1. */
  readonly fraction: number;
  /** Decoded so far, in seconds of the recording. */
  readonly seconds: number;
  readonly bursts: number;
  readonly frames: number;
  readonly lastFrame: { readonly mission: string; readonly text: string } | null;
}

export interface FoundBurst {
  readonly burst: Burst;
  readonly frames: readonly FrameWithReadings[];
}

/** What decoding came to. A recording that cannot be read is a result, not an exception. */
export type DecodeOutcome =
  | { readonly readable: true; readonly summary: DecodeSummary; readonly bursts: readonly FoundBurst[] }
  | { readonly readable: false; readonly failure: Failure };

/** Decodes files somewhere. */
export type DecodeRunner = TaskRunner<DecodeTask, DecodeProgress, DecodeOutcome>;
