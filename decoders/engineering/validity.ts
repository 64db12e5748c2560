import type { Valid } from '../mission/types.ts';

/** The entry in force, and what had to be assumed to choose it. */
export interface InForce<T> {
  readonly value: T | null;
  readonly note: string | null;
}

/**
 * The entry in force at a reception time (ISO 8601 UTC): from `validFrom` inclusive to `validUntil` exclusive; of several, the
 * one that began last. Without a reception time the one that began last of all, saying so when that was a choice.
 */
export function inForce<T>(entries: readonly Valid<T>[], receivedAt: string | null, what: string): InForce<T> {
  if (entries.length === 0) return { value: null, note: null };
  const latest = (candidates: readonly Valid<T>[]) =>
    candidates.reduce((best, each) => (startOf(each) > startOf(best) ? each : best));
  if (receivedAt === null) {
    const chosen = latest(entries);
    const bounded = entries.length > 1 || chosen.validFrom !== undefined || chosen.validUntil !== undefined;
    return {
      value: chosen.value,
      note: bounded ? `reception time unknown: the newest ${what} taken` : null,
    };
  }
  const time = Date.parse(receivedAt);
  const valid = entries.filter(
    (each) => startOf(each) <= time && (each.validUntil === undefined || time < Date.parse(each.validUntil)),
  );
  return valid.length > 0
    ? { value: latest(valid).value, note: null }
    : { value: null, note: `no ${what} is valid at ${receivedAt}` };
}

function startOf(entry: Valid<unknown>): number {
  return entry.validFrom === undefined ? Number.NEGATIVE_INFINITY : Date.parse(entry.validFrom);
}
