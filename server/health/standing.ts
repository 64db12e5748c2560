import { observe, type Persistence, UNCHECKED } from '../../decoders/engineering/persistence.ts';
import type { LimitState } from '../../decoders/engineering/types.ts';
import type { Instant } from '../store/records.ts';

type State = NonNullable<LimitState>;

/** Where a parameter stands against its limits after its latest transmissions. */
export interface Standing {
  /** Null until as many transmissions in a row as the persistence asks for said the same. */
  readonly state: State | null;
  /** Time of the transmission that made the state count. */
  readonly since: Instant | null;
  /** What the latest transmissions say, when that does not count yet. */
  readonly pending: { readonly state: State; readonly transmissions: number } | null;
}

/**
 * A limit state changes only after so many transmissions in a row that say the same; one without a value keeps the state
 * and restarts the count.
 *
 * @param transmissions one entry each, oldest first.
 */
export function standingAfter(
  transmissions: readonly { readonly time: Instant; readonly limit: LimitState }[],
  persistence: number,
): Standing {
  let now: Persistence<State> = UNCHECKED;
  let since: Instant | null = null;
  for (const { time, limit } of transmissions) {
    const next = observe(now, limit, persistence);
    if (next.confirmed !== now.confirmed) since = time;
    now = next;
  }
  const pending =
    now.observed === null || now.observed === now.confirmed ? null : { state: now.observed, transmissions: now.count };
  return { state: now.confirmed, since, pending };
}
