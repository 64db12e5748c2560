import { expect, test } from 'vitest';
import { decodingResult, missionChange, NOON, newFrame, newRecording, reading } from '../../support/records.ts';
import { addFrame, storeWithMission } from '../../support/store.ts';

test('jobs are taken in the order they came, each by one worker', async () => {
  const store = await storeWithMission();
  const { recording: first } = await store.addRecording(newRecording(1));
  const { recording: second } = await store.addRecording(newRecording(2));
  const taken = await Promise.all(['a', 'b', 'c'].map((worker) => store.takeJob(worker, NOON, 1000)));
  expect(taken.map((job) => job?.subject)).toEqual([String(first.id), String(second.id), undefined]);
  expect((await store.recording(first.id))?.status).toBe('decoding');
});

test('a job whose lease has run out is taken again, and its first worker learns that it is not its own', async () => {
  const store = await storeWithMission();
  await store.addRecording(newRecording(1));
  const job = await store.takeJob('a', NOON, 1000);
  expect(await store.takeJob('b', NOON + 999, 1000)).toBeNull();
  expect(await store.keepJob(job?.id ?? 0, 'a', NOON + 2000)).toBe(true);
  expect(await store.takeJob('b', NOON + 1500, 1000)).toBeNull();
  expect(await store.takeJob('b', NOON + 2001, 1000)).toMatchObject({ id: job?.id, attempts: 2 });
  expect(await store.keepJob(job?.id ?? 0, 'a', NOON + 9000)).toBe(false);
});

test('a job put back does not count as tried; one that a killed server left does', async () => {
  const store = await storeWithMission();
  await store.addRecording(newRecording(1));
  const job = await store.takeJob('a', NOON, 1000);
  await store.releaseJob(job?.id ?? 0);
  expect(await store.takeJob('a', NOON, 1000)).toMatchObject({ attempts: 1 });
  await store.releaseAllJobs();
  expect(await store.takeJob('a', NOON, 1000)).toMatchObject({ attempts: 2 });
});

test('a result is stored once, however often it is brought', async () => {
  const store = await storeWithMission();
  const { recording } = await store.addRecording(newRecording(1));
  await store.takeJob('a', NOON, 1000);
  const result = decodingResult(recording.id, [newFrame(NOON, [reading(7.9)])]);
  expect(await store.finishDecoding(result)).toBe(true);
  expect(await store.finishDecoding(result)).toBe(false);
  expect(await store.recording(recording.id)).toMatchObject({ bursts: 1, frames: 1, status: 'decoded' });
  expect(await store.jobCounts()).toEqual({ waiting: 0, running: 0 });
  await store.failDecoding(recording.id, { code: 'late', message: '' }, NOON);
  expect((await store.recording(recording.id))?.status).toBe('decoded');
});

test('a result that cannot be stored whole is not stored at all', async () => {
  const store = await storeWithMission();
  const { recording } = await store.addRecording(newRecording(1));
  const frames = [newFrame(NOON, [reading(7.9)]), newFrame(NOON, [], { mission: 'nobody-1' })];
  await expect(store.finishDecoding(decodingResult(recording.id, frames))).rejects.toThrow('nobody-1');
  expect(await store.recording(recording.id)).toMatchObject({ bursts: 0, frames: 0, status: 'waiting' });
  expect(await store.jobCounts()).toEqual({ waiting: 1, running: 0 });
});

test('a failure is kept with its reason', async () => {
  const store = await storeWithMission();
  const { recording } = await store.addRecording(newRecording(1));
  await store.failDecoding(recording.id, { code: 'not-audio', message: 'why' }, NOON);
  expect(await store.recording(recording.id)).toMatchObject({
    status: 'failed',
    failure: { code: 'not-audio', message: 'why' },
  });
  expect(await store.jobCounts()).toEqual({ waiting: 0, running: 0 });
});

test('a new definition asks for recalculation, which ends when no frame is left', async () => {
  const store = await storeWithMission();
  const id = await addFrame(store, newFrame(NOON, [reading(7.9)]));
  await store.saveMission(missionChange({ definition: { two: true } }));
  expect(await store.takeJob('a', NOON, 1000)).toMatchObject({ kind: 'recalculate', subject: 'wren-1' });
  expect((await store.framesToRecalculate('wren-1', 2, 10)).map((frame) => frame.id)).toEqual([id]);
  expect(await store.finishRecalculation('wren-1', NOON)).toBe(false);
  await store.rereadFrames([{ id, readings: [reading(8.1)], readingsVersion: 2 }]);
  expect(await store.framesToRecalculate('wren-1', 2, 10)).toEqual([]);
  expect(await store.finishRecalculation('wren-1', NOON)).toBe(true);
  expect(await store.readingsOfFrame(id)).toMatchObject([{ value: 8.1 }]);
  expect(await store.jobCounts()).toEqual({ waiting: 0, running: 0 });
});
