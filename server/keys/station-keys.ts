import type { StationStore } from '../store/store.ts';
import { hashKey, newKey } from './secrets.ts';

/**
 * Gives a station a new key; an earlier one is void from then on.
 *
 * @returns the key, which is kept nowhere: only its hash is.
 */
export async function issueStationKey(store: StationStore, callSign: string, now: number): Promise<string> {
  const key = newKey();
  await store.addStation(callSign, hashKey(key), now);
  return key;
}
