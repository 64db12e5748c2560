import type { Acquirer, Acquisition } from '../types.ts';
import { createKnownSearch, type Sighting } from './search.ts';
import { createTransmissions } from './transmissions.ts';
import type { KnownBeacon } from './types.ts';

/**
 * Finds the transmissions of one known beacon by what they must say, down to where a blind search no longer sees them.
 * Takes samples at the working rate.
 *
 * @param onSighting told of every place that looks like a transmission, however faintly.
 */
export function createKnownAcquirer(beacon: KnownBeacon, onSighting?: (sighting: Sighting) => void): Acquirer {
  const search = createKnownSearch(beacon);
  const transmissions = createTransmissions(beacon);
  const take = (sighting: Sighting): void => {
    transmissions.add(sighting);
    onSighting?.(sighting);
  };
  return {
    push(samples, onFound: (found: Acquisition) => void) {
      search.push(samples, take);
      transmissions.settle(search.lookedSeconds, onFound);
    },
    end(onFound) {
      search.end(take);
      transmissions.settle(Number.POSITIVE_INFINITY, onFound);
    },
    get settledSeconds() {
      return Math.min(transmissions.openSeconds, search.lookedSeconds);
    },
  };
}
