import { expect, test } from 'vitest';
import { decodingResult, missionChange, NOON, newFrame, newRecording, reading } from '../../support/records.ts';
import { storeWithMission } from '../../support/store.ts';

const all = { limit: 10, after: null, mission: undefined, station: null, exceptMissions: [] };

async function decoded() {
  const store = await storeWithMission();
  const { recording } = await store.addRecording(newRecording(1));
  await store.finishDecoding(
    decodingResult(recording.id, [
      newFrame(NOON - 598_000, [reading(7.921, { notes: ['assumed'] })], { vouched: false }),
      newFrame(NOON - 538_000, [reading(7.9), reading('NOM', { parameter: 'mode', limit: null, unit: null })], {
        vouched: false,
      }),
    ]),
  );
  return { store, id: recording.id };
}

async function voltages(store: Awaited<ReturnType<typeof decoded>>['store']) {
  const query = { mission: 'wren-1', parameter: 'battery_voltage', from: null, to: null, points: 100 } as const;
  const { readings } = await store.series({ ...query, phase: 'flight', leastTrust: 'doubtful', vouchedOnly: false });
  return readings.map(({ time, value, vouched }) => ({ time, value, vouched }));
}

test('the same bytes are one recording and one job', async () => {
  const store = await storeWithMission();
  const first = await store.addRecording(newRecording(1));
  const second = await store.addRecording(
    newRecording(1, { senderKeyHash: new Uint8Array(32).fill(99), station: 'Q2WREN' }),
  );
  expect(first.added).toBe(true);
  expect(second.added).toBe(false);
  expect(second.recording).toEqual(first.recording);
  expect(await store.jobCounts()).toEqual({ waiting: 1, running: 0 });
});

test('a result comes back as it was stored', async () => {
  const { store, id } = await decoded();
  const recording = await store.recording(id);
  expect(recording).toMatchObject({ status: 'decoded', bursts: 1, frames: 2, decoderVersion: 1, problems: [] });
  const [{ index, burst }] = await store.bursts(id);
  const expected = decodingResult(id, []).bursts[0].burst;
  expect(index).toBe(0);
  expect(burst).toMatchObject({
    text: expected.text,
    markHz: 1275,
    stopElements: 1.5,
    characters: expected.characters,
  });
  expect([...burst.soft.elementLlr]).toEqual([...expected.soft.elementLlr]);
  const [frame] = await store.framesOfRecording(id);
  expect(frame.decoded).toEqual(newFrame(0, []).decoded);
  expect(frame.source).toEqual({ kind: 'recording', recording: id, burst: 0 });
  expect(await store.readingsOfFrame(frame.id)).toMatchObject([
    { parameter: 'battery_voltage', value: 7.921, trust: 'confirmed', limit: 'normal', notes: ['assumed'] },
  ]);
});

test('deleting takes bursts, frames, readings and the job along, and says so', async () => {
  const { store, id } = await decoded();
  await store.deleteRecording(id, NOON + 1);
  expect(await store.recording(id)).toBeNull();
  expect(await store.bursts(id)).toEqual([]);
  expect(await store.framesOfRecording(id)).toEqual([]);
  expect(await voltages(store)).toEqual([]);
  expect(await store.jobCounts()).toEqual({ waiting: 0, running: 0 });
  const events = await store.eventsSince(0, 100);
  expect(events.at(-1)?.event).toMatchObject({ type: 'recording', status: 'deleted', missions: ['wren-1'] });
  const again = await store.addRecording(newRecording(1));
  expect(again.added).toBe(true);
  expect(again.recording.id).not.toBe(id);
});

test('dating anew moves frames and readings, and without a time takes them out of the trends', async () => {
  const { store, id } = await decoded();
  const [a, b] = await store.framesOfRecording(id);
  const dating = { startedAt: NOON, startedAtSource: 'sender', timeAccuracySeconds: null };
  await store.redateRecording(
    id,
    dating,
    [
      { id: a.id, receivedAt: NOON + 2000, readings: [reading(8)], readingsVersion: 1 },
      { id: b.id, receivedAt: NOON + 62_000, readings: [reading(8.1)], readingsVersion: 1 },
    ],
    NOON,
  );
  expect(await voltages(store)).toEqual([
    { time: NOON + 2000, value: 8, vouched: false },
    { time: NOON + 62_000, value: 8.1, vouched: false },
  ]);
  const undated = { startedAt: null, startedAtSource: null, timeAccuracySeconds: null };
  const gone = [a, b].map((frame) => ({ id: frame.id, receivedAt: null, readings: [reading(8)], readingsVersion: 1 }));
  await store.redateRecording(id, undated, gone, NOON);
  expect(await voltages(store)).toEqual([]);
  expect((await store.framesOfRecording(id)).map(({ receivedAt }) => receivedAt)).toEqual([null, null]);
});

test('what a station vouches for later is vouched for down to the readings', async () => {
  const { store, id } = await decoded();
  await store.claimRecording(id, { station: 'Q1LARK/P', phase: 'flight' }, NOON);
  expect(await store.recording(id)).toMatchObject({ vouched: true, station: 'Q1LARK/P' });
  expect((await store.framesOfRecording(id)).every(({ vouched, station }) => vouched && station === 'Q1LARK/P')).toBe(
    true,
  );
  expect((await voltages(store)).every(({ vouched }) => vouched)).toBe(true);
});

test('lists go page by page, by mission and station, without hidden missions', async () => {
  const store = await storeWithMission();
  await store.saveMission(missionChange({ id: 'owl-1', private: true }));
  for (let seed = 1; seed <= 5; seed++) {
    await store.addRecording(
      newRecording(seed, seed === 3 ? { mission: 'owl-1' } : seed === 4 ? { mission: 'wren-1', station: 'Q2' } : {}),
    );
  }
  const ids = async (query: Partial<Parameters<typeof store.recordings>[0]>) =>
    (await store.recordings({ ...all, ...query })).map(({ id }) => id);
  expect(await ids({ limit: 2 })).toEqual([5, 4]);
  expect(await ids({ limit: 2, after: 4 })).toEqual([3, 2]);
  expect(await ids({ exceptMissions: ['owl-1'] })).toEqual([5, 4, 2, 1]);
  expect(await ids({ mission: null })).toEqual([5, 2, 1]);
  expect(await ids({ mission: 'wren-1' })).toEqual([4]);
  expect(await ids({ station: 'Q2' })).toEqual([4]);
});
