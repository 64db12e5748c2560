import { expect, test } from 'vitest';
import { missionChange, NOON, newFrame, newRecording } from '../../support/records.ts';
import { addFrame, memoryStore, storeWithMission } from '../../support/store.ts';

test('events are numbered in the order in which things happened', async () => {
  const store = await storeWithMission();
  await store.addRecording(newRecording(1));
  await addFrame(store, newFrame(NOON, []));
  const events = await store.eventsSince(0, 10);
  expect(events.map(({ seq, event }) => [seq, event.type])).toEqual([
    [1, 'mission'],
    [2, 'recording'],
    [3, 'frame'],
  ]);
  expect(await store.eventsSince(1, 1)).toEqual([events[1]]);
  expect(await store.eventsSince(3, 10)).toEqual([]);
});

test('the count goes on after old events are pruned', async () => {
  const store = memoryStore();
  expect(await store.eventRange()).toEqual({ oldest: 1, newest: 0 });
  for (let version = 0; version < 5; version++) await store.saveMission(missionChange({ definition: { version } }));
  await store.pruneEvents(2);
  expect(await store.eventRange()).toEqual({ oldest: 4, newest: 5 });
  await store.pruneEvents(0);
  expect(await store.eventRange()).toEqual({ oldest: 6, newest: 5 });
  await store.saveMission(missionChange({ definition: { version: 9 } }));
  expect((await store.eventsSince(5, 10)).map(({ seq }) => seq)).toEqual([6]);
});
