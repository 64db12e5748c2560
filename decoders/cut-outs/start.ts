import type { RecordingStart } from '../audio/start-time.ts';
import { uncertaintyAt } from '../audio/time-gaps.ts';

/** A time that is no surer than this says nothing. */
const SUREST_SECONDS = 86_400;

/** What is known of the recording that a cut-out is of. */
export interface CutFrom {
  readonly start: RecordingStart | null;
  /** Up to where seconds of it are seconds of time: see `sureSeconds`. */
  readonly sureSeconds: number;
  /** When it was whole, ISO 8601 UTC. */
  readonly existedAt: string;
}

/**
 * When a cut-out began: that many seconds after its recording, by the word of the same source. Behind the first gap of a
 * recording it may be any time until the recording was whole; null where that leaves nothing to say.
 */
export function cutOutStart({ start, sureSeconds, existedAt }: CutFrom, startSeconds: number): RecordingStart | null {
  if (start === null) return null;
  const startedAt = Date.parse(start.iso);
  const moved = { ...start, iso: new Date(startedAt + Math.round(1000 * startSeconds)).toISOString() };
  const { uncertaintySeconds } = start;
  const times = { startedAt, uncertaintySeconds, sureSeconds, existedAt: Date.parse(existedAt) };
  const uncertainty = uncertaintyAt(times, startSeconds);
  return startSeconds >= sureSeconds && (uncertainty ?? 0) > SUREST_SECONDS
    ? null
    : { ...moved, uncertaintySeconds: uncertainty };
}
