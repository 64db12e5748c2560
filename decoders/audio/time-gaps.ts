import type { AudioProblem } from './types.ts';

/** `gaps`: seconds of a recording are not seconds of time, as its recorder paused or files were joined. */
export type TimeBase = 'continuous' | 'gaps';

/** Problems by which reading a recording shows that its recorder paused or that it was joined. */
const GAPS: readonly string[] = ['time-gaps', 'time-jump', 'captures-apart'];
/** Recorders that skip silence have skipped little before the first signal of a pass. */
const BEFORE_GAPS_SECONDS = 120;

/** Whether reading a recording turned up that seconds of it are not seconds of time. */
export function leavesGaps(problems: readonly AudioProblem[]): boolean {
  return problems.some(({ code }) => GAPS.includes(code));
}

/**
 * Up to where seconds of a recording are seconds of time: without end where it has no gaps; else its first minutes, or less
 * where the first gap was seen before.
 *
 * @param timeBase what its sender says of it, which counts more than what reading it turned up.
 */
export function sureSeconds(timeBase: TimeBase | null | undefined, problems: readonly AudioProblem[]): number {
  const hasGaps = timeBase === 'gaps' || (timeBase !== 'continuous' && leavesGaps(problems));
  if (!hasGaps) return Number.POSITIVE_INFINITY;
  const seen = problems.flatMap(({ code, atSeconds }) => (GAPS.includes(code) ? (atSeconds ?? []) : []));
  return Math.min(BEFORE_GAPS_SECONDS, ...seen);
}

/** What is known of when a recording was made; moments in milliseconds since 1970. */
export interface RecordingTimes {
  readonly startedAt: number;
  /** Of its start; null when nobody says it. */
  readonly uncertaintySeconds: number | null;
  /** See `sureSeconds`. */
  readonly sureSeconds: number;
  /** When it was whole. */
  readonly existedAt: number;
}

/**
 * How exactly the time of what stands so many seconds behind the start is known; null when nobody says it. What a recording
 * with gaps holds lies between its start and when it was whole: so much later it may have been, at most.
 */
export function uncertaintyAt(recording: RecordingTimes, seconds: number): number | null {
  const { startedAt, uncertaintySeconds, existedAt } = recording;
  if (seconds < recording.sureSeconds) return uncertaintySeconds;
  const later = Math.max(0, existedAt - (startedAt + Math.round(1000 * seconds))) / 1000;
  return (uncertaintySeconds ?? 0) + later;
}
