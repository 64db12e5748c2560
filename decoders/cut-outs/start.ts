import type { RecordingStart } from '../audio/start-time.ts';

/** Recorders that skip silence have skipped little before the first signal of a pass. */
const BEFORE_GAPS_SECONDS = 120;
/** A time that is no surer than this says nothing. */
const SUREST_SECONDS = 86_400;

/** What is known of the recording that a cut-out is of. */
export interface CutFrom {
  readonly start: RecordingStart | null;
  /** Whether its recorder skips silence, or files were joined: seconds of it are not seconds of time then. */
  readonly hasGaps: boolean;
  /** When it was whole, ISO 8601 UTC. */
  readonly existedAt: string;
}

/**
 * When a cut-out began: that many seconds after its recording, by the word of the same source. Behind the first minutes of a
 * recording with gaps it may be any time until the recording was whole; null where that leaves nothing to say.
 */
export function cutOutStart({ start, hasGaps, existedAt }: CutFrom, startSeconds: number): RecordingStart | null {
  if (start === null) return null;
  const milliseconds = Date.parse(start.iso) + Math.round(1000 * startSeconds);
  const moved = { ...start, iso: new Date(milliseconds).toISOString() };
  if (!hasGaps || startSeconds < BEFORE_GAPS_SECONDS) return moved;
  const skipped = Math.max(0, Date.parse(existedAt) - milliseconds) / 1000;
  const uncertaintySeconds = (start.uncertaintySeconds ?? 0) + skipped;
  return uncertaintySeconds > SUREST_SECONDS ? null : { ...moved, uncertaintySeconds };
}
