import type { AudioProblem } from './types.ts';

/** Problems by which a file says itself that its recorder paused or that it was joined. */
const GAPS: readonly string[] = ['time-gaps', 'captures-apart'];

/** Whether reading a recording turned up that seconds of it are not seconds of time. */
export function leavesGaps(problems: readonly AudioProblem[]): boolean {
  return problems.some(({ code }) => GAPS.includes(code));
}
