import { join } from 'node:path';
import { expect, test } from 'vitest';
import { openSqliteStore } from '../../../server/store/sqlite/open.ts';
import { putWren, testApp, upload, wren } from '../support/app.ts';
import { temporaryDirectory } from '../support/directory.ts';
import { FakeDecoding, fakeRecording } from '../support/fake-decoding.ts';
import { missionChange, NOON } from '../support/records.ts';
import { powerFrame } from '../support/wren.ts';

const frame = powerFrame();
const oneFrame = fakeRecording({ bursts: [{ text: frame.text, frames: [frame] }] });

function held(): FakeDecoding {
  const decoding = new FakeDecoding();
  decoding.hold();
  return decoding;
}

test('a stopped server goes on where it was, nothing twice, nothing lost', async () => {
  const dataDir = await temporaryDirectory();
  const before = await testApp({ dataDir, decoding: held() });
  await putWren(before);
  const ids = [];
  for (const problem of ['a', 'b', 'c']) {
    const file = fakeRecording({ problems: [problem], bursts: [{ text: frame.text, frames: [frame] }] });
    ids.push((await upload(before, file)).json().id);
  }
  await expect.poll(() => before.decoding.runs).toBe(1);
  await before.app.close();

  const after = await testApp({ dataDir });
  await after.jobs.idle();
  for (const id of ids) {
    expect((await after.app.inject({ url: `/api/recordings/${id}` })).json()).toMatchObject({
      status: 'decoded',
      frames: 1,
    });
  }
  expect(after.decoding.runs).toBe(3);
  expect((await after.services.store.missions())[0].frames).toBe(3);
  expect(after.complaints).toEqual([]);
});

test('a stop does not count as an attempt', async () => {
  const dataDir = await temporaryDirectory();
  const first = await testApp({ dataDir, decoding: held() });
  await upload(first, oneFrame);
  await expect.poll(() => first.decoding.runs).toBe(1);
  await first.app.close();
  for (let start = 0; start < 5; start++) {
    const next = await testApp({ dataDir, decoding: held() });
    await expect.poll(() => next.decoding.runs).toBe(1);
    await next.app.close();
  }
  const last = await testApp({ dataDir });
  await last.jobs.idle();
  expect((await last.services.store.recording(1))?.status).toBe('decoded');
});

test('a recording that takes the server down each time is given up, and the next one is decoded', async () => {
  const dataDir = await temporaryDirectory();
  const before = await testApp({ dataDir, decoding: held() });
  await putWren(before);
  await upload(before, oneFrame);
  await upload(before, fakeRecording());
  await before.app.close();
  await killed(dataDir, 3);

  const after = await testApp({ dataDir });
  await after.jobs.idle();
  expect(await after.services.store.recording(1)).toMatchObject({
    status: 'failed',
    failure: { code: 'decoding-crashed' },
  });
  expect(await after.services.store.recording(2)).toMatchObject({ status: 'decoded' });
});

test('a server killed less often is forgiven', async () => {
  const dataDir = await temporaryDirectory();
  const before = await testApp({ dataDir, decoding: held() });
  await upload(before, oneFrame);
  await before.app.close();
  await killed(dataDir, 2);
  const after = await testApp({ dataDir });
  await after.jobs.idle();
  expect((await after.services.store.recording(1))?.status).toBe('decoded');
});

/** Leaves the store as servers do that are killed in the middle of the first job. */
async function killed(dataDir: string, times: number): Promise<void> {
  for (let time = 0; time < times; time++) {
    const store = openSqliteStore(join(dataDir, 'fiveunit.db'));
    await store.releaseAllJobs();
    expect((await store.takeJob('killed', NOON, 1000))?.id).toBe(1);
    await store.close();
  }
}

test('a store that fails for a while loses nothing: the job is tried again', async () => {
  const built = await testApp({ decoding: held() });
  await putWren(built);
  const { store } = built.services;
  await upload(built, oneFrame);
  await expect.poll(() => built.decoding.runs).toBe(1);
  const { finishDecoding } = store;
  store.finishDecoding = async () => {
    store.finishDecoding = finishDecoding;
    throw new Error('database or disk is full');
  };
  built.decoding.letGo();
  await built.jobs.idle();
  expect(built.complaints).toEqual(['job decode 1: database or disk is full']);
  expect((await store.recording(1))?.status).toBe('decoding');
  await store.releaseAllJobs();
  built.jobs.wake();
  await built.jobs.idle();
  expect(await store.recording(1)).toMatchObject({ status: 'decoded', frames: 1 });
});

test('a recalculation that was interrupted goes on with what is left', async () => {
  const dataDir = await temporaryDirectory();
  const before = await testApp({ dataDir });
  await putWren(before);
  for (const problem of ['a', 'b']) {
    await upload(before, fakeRecording({ problems: [problem], bursts: [{ text: frame.text, frames: [frame] }] }));
  }
  await before.jobs.idle();
  await before.app.close();
  const store = openSqliteStore(join(dataDir, 'fiveunit.db'));
  await store.saveMission({ ...missionChange(), ...named('Wren') });
  await store.takeJob('killed', NOON, 1000);
  await store.close();
  const after = await testApp({ dataDir });
  await after.jobs.idle();
  expect(await after.services.store.framesToRecalculate('wren-1', 2, 10)).toEqual([]);
  expect(await after.services.store.jobCounts()).toEqual({ waiting: 0, running: 0 });
  expect((await after.services.store.frame(1))?.readingsVersion).toBe(2);
});

function named(name: string) {
  return { id: 'wren-1', name, callSign: 'Q0WRN', definition: wren({ name }) };
}
