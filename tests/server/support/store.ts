import { onTestFinished } from 'vitest';
import type { NewFrame } from '../../../server/store/records.ts';
import { openSqliteStore } from '../../../server/store/sqlite/open.ts';
import type { Store } from '../../../server/store/store.ts';
import { missionChange, NOON } from './records.ts';

/** An empty store in memory. */
export function memoryStore(): Store {
  const store = openSqliteStore(':memory:');
  onTestFinished(() => store.close());
  return store;
}

/** A store with one mission, `wren-1`. */
export async function storeWithMission(): Promise<Store> {
  const store = memoryStore();
  await store.saveMission(missionChange());
  return store;
}

let lines = 0;

/** Stores a frame as a line of its own; gives its id. */
export async function addFrame(store: Store, frame: NewFrame): Promise<number> {
  const hash = new Uint8Array(32);
  new DataView(hash.buffer).setUint32(0, ++lines);
  const { frames } = await store.addLine({ hash, text: frame.decoded.text, assumptions: [], addedAt: NOON }, [frame]);
  return frames[0].id;
}
