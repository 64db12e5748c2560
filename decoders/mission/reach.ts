import type { ParameterRange } from '../engineering/range.ts';
import type { LimitSet } from './types.ts';

/** Which bounds of a set lie outside all that a parameter can show, so that they are always or never crossed. */
export function boundsOutOfReach(set: LimitSet, range: Pick<ParameterRange, 'low' | 'high'>): ('soft' | 'hard')[] {
  return (['soft', 'hard'] as const).filter((kind) =>
    set[kind]?.some((bound) => bound !== null && (bound < range.low || bound > range.high)),
  );
}
