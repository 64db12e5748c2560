import type { Trust } from '../../decoders/frames/types.ts';
import type { Instant, StoredReading } from '../store/records.ts';

const RANK: Readonly<Record<Trust, number>> = { doubtful: 0, probable: 1, confirmed: 2 };
/** Copies of one transmission differ by the clocks of their stations: never told apart below this. */
const CLOCKS_MILLISECONDS = 2000;
const USUAL_INTERVAL_SECONDS = 20;

/** How far apart copies of one transmission may be dated: half the beacon's interval. */
export function copyDistanceMilliseconds(intervalSeconds: number | undefined): number {
  return Math.max(CLOCKS_MILLISECONDS, (1000 * (intervalSeconds ?? USUAL_INTERVAL_SECONDS)) / 2);
}

/**
 * One reading for each transmission: of copies that several stations heard, the most trusted, then the surest.
 *
 * @param readings of one parameter, oldest first.
 */
export function onePerTransmission<T extends Pick<StoredReading, 'time' | 'trust' | 'confidence'>>(
  readings: readonly T[],
  distanceMilliseconds: number,
): T[] {
  const chosen: T[] = [];
  let began: Instant = Number.NEGATIVE_INFINITY;
  for (const reading of readings) {
    if (reading.time - began > distanceMilliseconds) {
      began = reading.time;
      chosen.push(reading);
    } else if (isBetter(reading, chosen[chosen.length - 1])) {
      chosen[chosen.length - 1] = reading;
    }
  }
  return chosen;
}

function isBetter(
  a: Pick<StoredReading, 'trust' | 'confidence'>,
  b: Pick<StoredReading, 'trust' | 'confidence'>,
): boolean {
  return RANK[a.trust] > RANK[b.trust] || (a.trust === b.trust && a.confidence > b.confidence);
}
