import { expect, test } from 'vitest';
import type { BurstCarrier } from '../../../../decoders/signal/types.ts';
import type { FrameChanges, FrameQuery, NewFrame, StoredCopy, StoredFrame } from '../../../../server/store/records.ts';
import {
  beaconPresence,
  burstOf,
  decodedFrame,
  decodingResult,
  heardFrame,
  missionChange,
  NO_CHANGES,
  NOON,
  newFrame,
  newRecording,
  reading,
} from '../../support/records.ts';
import { addFrame, storeWithMission } from '../../support/store.ts';

const everything: FrameQuery = {
  mission: 'wren-1',
  from: null,
  to: null,
  station: null,
  leastTrust: 'doubtful',
  phase: null,
  limit: 100,
  after: null,
};
const all = { limit: 10, after: null, mission: undefined, station: null, sha256: null, exceptMissions: [] };

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

test('what is known of a complex band comes back, and its sender may say it later', async () => {
  const store = await storeWithMission();
  const said = { isBand: true, centerHz: 145_900_000, tuning: null };
  const { recording } = await store.addRecording(newRecording(1, { bandClaim: said }));
  expect(recording.bandClaim).toEqual(said);
  const carrier: BurstCarrier = {
    modulation: 'fsk',
    seconds: 3,
    carrierHz: -4999.25,
    absoluteHz: 145_895_000.75,
    driftHzPerSecond: -12.5,
    uncertaintyHz: 0.125,
    track: [{ seconds: 2.5, carrierHz: -4993, uncertaintyHz: 0.25 }],
  };
  const iq = { captures: [{ startSeconds: 0, centerHz: 145_900_000, startedAt: null }] };
  const { audio } = decodingResult(recording.id, []);
  const bursts = [{ ...burstOf('A'), carrier }, burstOf('B')];
  await store.finishDecoding(decodingResult(recording.id, [], { bursts, audio: { ...audio, iq } }));
  expect((await store.bursts(recording.id)).map(({ burst }) => burst.carrier)).toEqual([carrier, undefined]);
  expect((await store.recording(recording.id))?.audio?.iq).toEqual(iq);
  const later = { ...said, tuning: { mode: 'fixed', referenceErrorPpm: 0.5 } } as const;
  await store.claimBand(recording.id, later, NOON);
  expect((await store.recording(recording.id))?.bandClaim).toEqual(later);
});

test('a result comes back as it was stored', async () => {
  const { store, id } = await decoded();
  const recording = await store.recording(id);
  expect(recording).toMatchObject({ status: 'decoded', bursts: 1, frames: 2, decoderVersion: 1, problems: [] });
  const [{ index, burst }] = await store.bursts(id);
  const [expected] = decodingResult(id, []).bursts;
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

test('a beacon that could not be read is told until a frame of its mission counts', async () => {
  const store = await storeWithMission();
  const presence = [{ ...beaconPresence(), version: 1 }];
  const { recording } = await store.addRecording(newRecording(1));
  const doubtful = newFrame(NOON, [], { decoded: decodedFrame({ trust: 'doubtful' }) });
  await store.finishDecoding(decodingResult(recording.id, [doubtful], { presence }));
  expect(await store.recording(recording.id)).toMatchObject({ frames: 1, presence });
  expect(await store.recordings(all)).toMatchObject([{ presence }]);

  const [{ id }] = await store.framesOfRecording(recording.id);
  const other = (await store.addRecording(newRecording(2))).recording;
  const together = heardFrame(newFrame(NOON, []), recording.id);
  const redecided = [{ ...together, id, before: null }];
  await store.finishDecoding(decodingResult(other.id, [], { changes: { ...NO_CHANGES, redecided } }));
  expect(await store.recording(recording.id)).toMatchObject({ frames: 1, presence: [] });
});

test('deleting takes bursts, frames, readings and the job along, and says so', async () => {
  const { store, id } = await decoded();
  const removed = (await store.framesOfRecording(id)).map((frame) => frame.id);
  await store.deleteRecording(id, { ...NO_CHANGES, removed }, NOON + 1);
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

/** Frames of a recording, changed. */
async function redecided(
  store: Awaited<ReturnType<typeof decoded>>['store'],
  id: number,
  change: (frame: StoredFrame, index: number) => Partial<NewFrame>,
): Promise<FrameChanges> {
  const frames = await store.framesOfRecording(id);
  return {
    ...NO_CHANGES,
    redecided: frames.map((frame, index) => ({
      ...heardFrame(newFrame(frame.receivedAt, [], { ...frame, ...change(frame, index) }), id),
      id: frame.id,
      before: null,
    })),
  };
}

test('dating anew moves frames and readings, and without a time takes them out of the trends', async () => {
  const { store, id } = await decoded();
  const dating = { startedAt: NOON, startedAtSource: 'sender', timeAccuracySeconds: null, timeBase: null };
  const moved = await redecided(store, id, (_, index) => ({
    receivedAt: NOON + 2000 + 60_000 * index,
    readings: [reading(8 + index / 10)],
    vouched: false,
  }));
  await store.redateRecording(id, dating, moved, NOON);
  expect(await voltages(store)).toEqual([
    { time: NOON + 2000, value: 8, vouched: false },
    { time: NOON + 62_000, value: 8.1, vouched: false },
  ]);
  const undated = { startedAt: null, startedAtSource: null, timeAccuracySeconds: null, timeBase: null };
  const gone = await redecided(store, id, () => ({ receivedAt: null, readings: [reading(8)] }));
  await store.redateRecording(id, undated, gone, NOON);
  expect(await voltages(store)).toEqual([]);
  expect((await store.framesOfRecording(id)).map(({ receivedAt }) => receivedAt)).toEqual([null, null]);
});

test('what a station vouches for later is vouched for down to the readings', async () => {
  const { store, id } = await decoded();
  const vouched = await redecided(store, id, () => ({ vouched: true, station: 'Q1LARK/P', readings: [reading(7.9)] }));
  await store.claimRecording(id, { station: 'Q1LARK/P', phase: 'flight' }, vouched, NOON);
  expect(await store.recording(id)).toMatchObject({ vouched: true, station: 'Q1LARK/P' });
  expect((await store.framesOfRecording(id)).every((frame) => frame.vouched && frame.station === 'Q1LARK/P')).toBe(
    true,
  );
  expect((await voltages(store)).every((each) => each.vouched)).toBe(true);
});

test('a frame heard in two recordings belongs to both, and outlives the one it stands in', async () => {
  const { store, id } = await decoded();
  const { recording: other } = await store.addRecording(newRecording(2, { station: 'Q2WREN' }));
  await store.finishDecoding(decodingResult(other.id, []));
  const [first, second] = await store.framesOfRecording(id);
  const [own] = await store.copiesOfFrame(first.id);
  const faint: StoredCopy = { recording: other.id, burst: 0, use: 'added', slots: [-1, 0, 1], alone: null };
  const frame = newFrame(first.receivedAt, [reading(7.921)], { decoded: decodedFrame({ text: 'Q0WREN 7922' }) });
  const before = { text: 'Q0WREN 7921', trust: 'confirmed', copies: 1 } as const;
  const heardTwice: FrameChanges = {
    ...NO_CHANGES,
    redecided: [{ id: first.id, frame, source: { recording: id, burst: 0 }, copies: [own, faint], before }],
  };
  await store.redateRecording(
    other.id,
    { startedAt: NOON, startedAtSource: null, timeAccuracySeconds: 1, timeBase: null },
    heardTwice,
    NOON,
  );
  expect(await store.copiesOfFrame(first.id)).toEqual([own, faint]);
  expect((await store.framesOfRecording(other.id)).map((each) => each.id)).toEqual([first.id]);
  expect((await store.recording(other.id))?.frames).toBe(1);
  expect(await store.frames({ ...everything, station: 'Q2WREN' })).toHaveLength(1);
  const told = (await store.eventsSince(0, 100)).map(({ event }) => event);
  expect(told.find(({ type }) => type === 'frame-redecided')).toEqual({
    type: 'frame-redecided',
    mission: 'wren-1',
    frame: first.id,
    before,
    after: { text: 'Q0WREN 7922', trust: 'confirmed', copies: 2 },
  });

  const moved: FrameChanges = {
    ...NO_CHANGES,
    redecided: [{ id: first.id, frame, source: { recording: other.id, burst: 0 }, copies: [faint], before }],
    removed: [second.id],
  };
  await store.deleteRecording(id, moved, NOON);
  expect((await store.frame(first.id))?.source).toEqual({ kind: 'recording', recording: other.id, burst: 0 });
  expect(await store.frame(second.id)).toBeNull();
  expect((await voltages(store)).map(({ value }) => value)).toEqual([7.921]);
});

test('bursts and frames are found by when they were on the air', async () => {
  const { store, id } = await decoded();
  const began = NOON - 600_000;
  const onAir = (from: number, to: number) => store.burstsOnAir('flight', began + from, began + to);
  expect(await onAir(0, 1999)).toEqual([]);
  expect(await onAir(0, 2000)).toEqual([{ recording: id, index: 0 }]);
  expect(await onAir(3800, 9000)).toEqual([{ recording: id, index: 0 }]);
  expect(await onAir(3900, 9000)).toEqual([]);
  expect(await store.burstsOnAir('bench', began, NOON)).toEqual([]);
  const heard = async (from: number, to: number) => (await store.framesHeard('flight', from, to)).length;
  expect(await heard(NOON - 598_000, NOON - 538_000)).toBe(2);
  expect(await heard(NOON - 597_999, NOON - 538_001)).toBe(0);
  await addFrame(store, newFrame(NOON - 598_000, []));
  expect(await heard(NOON - 598_000, NOON - 598_000)).toBe(1);
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
