import type { Bounds, Condition, LimitSet } from '../mission/types.ts';
import type { LimitState } from './types.ts';

export type Side = 'within' | 'below' | 'above';

/** Where a value stands against bounds; a value on a bound is within. */
export function sideOf(value: number, [low, high]: Bounds): Side {
  if (low !== null && value < low) return 'below';
  if (high !== null && value > high) return 'above';
  return 'within';
}

/** The bounds that apply, and what had to be assumed. */
export interface LimitsInForce {
  readonly soft: Bounds;
  readonly hard: Bounds;
  readonly note: string | null;
}

/**
 * The first set whose `when` holds, or that has none. Sets whose `when` is not known may apply as well as those after
 * them: then the widest of each bound counts. Null when no set applies.
 */
export function limitsInForce(
  sets: readonly LimitSet[],
  holds: (condition: Condition) => boolean | null,
): LimitsInForce | null {
  const candidates: LimitSet[] = [];
  const unknown: string[] = [];
  for (const set of sets) {
    const applies = set.when === undefined ? true : holds(set.when);
    if (applies === false) continue;
    candidates.push(set);
    if (applies) break;
    if (set.when !== undefined) unknown.push(set.when.parameter);
  }
  if (candidates.length === 0) return null;
  return {
    soft: widest(candidates.map(({ soft }) => soft)),
    hard: widest(candidates.map(({ hard }) => hard)),
    note: unknown.length === 0 ? null : `${[...new Set(unknown)].join(', ')} not known: the widest limits applied`,
  };
}

/** State of one value against bounds. */
export function limitState(value: number, limits: Pick<LimitsInForce, 'soft' | 'hard'>): Exclude<LimitState, null> {
  if (sideOf(value, limits.hard) !== 'within') return 'hard';
  return sideOf(value, limits.soft) === 'within' ? 'normal' : 'soft';
}

function widest(bounds: readonly (Bounds | undefined)[]): Bounds {
  const lows = bounds.map((each) => each?.[0] ?? null);
  const highs = bounds.map((each) => each?.[1] ?? null);
  return [
    lows.includes(null) ? null : Math.min(...lows.map((low) => low ?? 0)),
    highs.includes(null) ? null : Math.max(...highs.map((high) => high ?? 0)),
  ];
}
