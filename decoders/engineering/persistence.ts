/** A status that changes only after so many equal observations in a row. */
export interface Persistence<T extends string> {
  /** Null until the first status was confirmed. */
  readonly confirmed: T | null;
  /** The observation that the count belongs to; null after a gap. */
  readonly observed: T | null;
  readonly count: number;
}

export const UNCHECKED: Persistence<never> = { confirmed: null, observed: null, count: 0 };

/**
 * Takes in one observation. A missing one (null) keeps the confirmed status and restarts the count.
 * `repetitions` counts transmissions, not copies of one: feed each transmission once.
 */
export function observe<T extends string>(
  state: Persistence<T>,
  observation: T | null,
  repetitions: number,
): Persistence<T> {
  if (observation === null) return { confirmed: state.confirmed, observed: null, count: 0 };
  const count = observation === state.observed ? state.count + 1 : 1;
  return { confirmed: count >= repetitions ? observation : state.confirmed, observed: observation, count };
}
