import type { ParameterNow } from '../../server/http/messages.ts';

export interface LimitLine {
  readonly at: number;
  readonly kind: 'soft' | 'hard';
}

/** The limits in force as lines; those that are open on one side give one line. */
export function limitLines(limit: ParameterNow['limit']): LimitLine[] {
  if (limit === null) return [];
  const lines = (['soft', 'hard'] as const).flatMap((kind) => (limit[kind] ?? []).map((at) => ({ at, kind })));
  return lines.flatMap(({ at, kind }) => (at === null ? [] : [{ at, kind }]));
}

export interface Extent {
  readonly min: number;
  readonly max: number;
}

/** Share of the values' extent within which a limit is worth the room it takes. */
const IN_REACH = 1.5;

/**
 * The vertical extent of a panel: its values, and those limits that are near enough to mean something beside them.
 */
export function extentOf(values: readonly number[], limits: readonly LimitLine[]): Extent {
  if (values.length === 0) {
    const at = limits.map((limit) => limit.at);
    return at.length === 0 ? { min: 0, max: 1 } : padded(Math.min(...at), Math.max(...at));
  }
  let min = Number.POSITIVE_INFINITY;
  let max = Number.NEGATIVE_INFINITY;
  for (const value of values) {
    if (value < min) min = value;
    if (value > max) max = value;
  }
  const reach = Math.max(max - min, 0.02 * Math.max(Math.abs(min), Math.abs(max)), Number.EPSILON) * IN_REACH;
  const near = limits.map(({ at }) => at).filter((at) => at > min - reach && at < max + reach);
  return padded(Math.min(min, ...near), Math.max(max, ...near));
}

function padded(min: number, max: number): Extent {
  const room = (max - min) * 0.08 || Math.max(0.05 * Math.abs(max), 0.5);
  return { min: min - room, max: max + room };
}
