import { expect, test } from 'vitest';
import { missionChange, NOON, newFrame, reading } from '../../support/records.ts';
import { addFrame, memoryStore, storeWithMission } from '../../support/store.ts';

test('each change is a version, and old ones stay readable', async () => {
  const store = memoryStore();
  expect(await store.saveMission(missionChange())).toEqual({ outcome: 'saved', version: 1 });
  const second = missionChange({ definition: { fiveunit: 1, id: 'wren-1', notes: 'second' }, savedAt: NOON + 1 });
  expect(await store.saveMission(second)).toEqual({ outcome: 'saved', version: 2 });
  expect((await store.mission('wren-1'))?.definition).toEqual(second.definition);
  expect((await store.mission('wren-1', 1))?.definition).toEqual(missionChange().definition);
  expect(await store.mission('wren-1', 3)).toBeNull();
  expect(await store.mission('robin-1')).toBeNull();
  expect(await store.missionVersions('wren-1')).toEqual([
    { version: 2, savedAt: NOON + 1 },
    { version: 1, savedAt: NOON },
  ]);
});

test('the same definition again is no new version', async () => {
  const store = await storeWithMission();
  expect(await store.saveMission(missionChange({ savedAt: NOON + 5 }))).toEqual({ outcome: 'unchanged', version: 1 });
});

test('a change onto another version than expected is not made', async () => {
  const store = await storeWithMission();
  const change = missionChange({ definition: { other: true } });
  expect(await store.saveMission({ ...change, expected: 0 })).toEqual({ outcome: 'conflict', version: 1 });
  expect(await store.saveMission({ ...change, expected: 2 })).toEqual({ outcome: 'conflict', version: 1 });
  expect(await store.saveMission({ ...change, expected: 1 })).toEqual({ outcome: 'saved', version: 2 });
});

test('an overview says when the satellite was last heard in flight, doubtful frames aside', async () => {
  const store = await storeWithMission();
  await addFrame(store, newFrame(NOON, [reading(7.9)]));
  await addFrame(store, newFrame(NOON + 1, [], { phase: 'bench' }));
  const doubtful = newFrame(NOON + 2, []);
  await addFrame(store, { ...doubtful, decoded: { ...doubtful.decoded, trust: 'doubtful' } });
  await addFrame(store, newFrame(null, []));
  const [overview] = await store.missions();
  expect(overview).toMatchObject({ id: 'wren-1', frames: 4, lastHeard: NOON, version: 1 });
});

test('private missions are told apart', async () => {
  const store = await storeWithMission();
  await store.saveMission(missionChange({ id: 'owl-1', private: true }));
  expect(await store.privateMissions()).toEqual(['owl-1']);
});
